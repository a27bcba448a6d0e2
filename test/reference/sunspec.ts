/**
 * Where points of SunSpec models stand, registers from the model's id, and lengths of models: counted by hand from the
 * published definitions (SunSpec Alliance, github.com/sunspec/models, Apache-2.0), apart from what adapter and
 * simulator hold.
 */
export const LENGTHS = { 1: 66, 103: 50, 701: 153, 713: 7, 802: 62 } as const;
export const PORTS_714 = { head: 18, each: 25 } as const;
export const MODULES_160 = { head: 8, each: 20 } as const;

export const OFFSETS = {
  1: { Mn: 2, Md: 18, Vr: 42, SN: 50, DA: 66 },
  103: { PhVphA: 10, V_SF: 13, W: 14, W_SF: 15, Hz: 16, Hz_SF: 17, WH: 24, WH_SF: 26, DCW: 31, DCW_SF: 32 },
  160: { DCA_SF: 2, DCV_SF: 3, DCW_SF: 4, DCWH_SF: 5, N: 8, DCA: 19, DCV: 20, DCW: 21, DCWH: 22 },
  701: { W: 10, LNV: 16, Hz: 17, TotWhInj: 19, V_SF: 114, Hz_SF: 115, W_SF: 116, TotWh_SF: 120 },
  713: { WHRtg: 2, WHAvail: 3, SoC: 4, SoH: 5, WH_SF: 7, Pct_SF: 8 },
  714: { NPrt: 4, DCW_SF: 17, DCWH_SF: 18, PrtTyp: 20, DCA: 30, DCV: 31, DCW: 32, DCWhInj: 33 },
  802: { WHRtg: 3, SoC: 11, SoH: 13, ChaSt: 16, Hb: 18, State: 22, V: 34, A: 44, W: 47 },
} as const;
export const SCALES_802 = { WHRtg_SF: 53, SoC_SF: 56, SoH_SF: 58, V_SF: 59, A_SF: 61, W_SF: 63 } as const;
