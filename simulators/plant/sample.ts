/**
 * What the station shows at a moment, in the trade's quantities: state of charge in whole percent, power to a tenth of
 * a watt, and its own naive time to empty (label energy left over present output, idle draw forgotten).
 */
import type { QuantityName } from '#kit/quantities';

export interface SampleStates {
  acOutletsOn: boolean;
  dcOutletsOn: boolean;
  /** Output is fed through by the wall. */
  onMains: boolean;
  inputLimitedBy: 'nothing' | 'full' | 'port' | 'cold';
  inputSource: 'sun' | 'wall' | 'unknown';
}

export interface Sample {
  quantities: { [K in QuantityName]?: number | null };
  states: SampleStates;
}

/** What its instruments tell: powers as means of the last second, the rest as it stands. */
export interface Instruments {
  solarW: number;
  /** All that the wall gives: to the charger and through to the AC outlets. */
  wallW: number;
  acW: number;
  dcW: number;
  /** What the station believes, 0..1, and shows. */
  share: number;
  shownPct: number;
  ratedWh: number;
  batteryV: number;
  batteryA: number;
  batteryC: number;
  panelV: number;
  states: SampleStates;
}

const LONGEST_MINUTES = 5999;

const to = (step: number) => (x: number) => Math.round(x / step) / Math.round(1 / step);
const tenth = to(0.1);
const hundredth = to(0.01);

const minutes = (wh: number, w: number): number | null =>
  w < 1 ? null : Math.min(LONGEST_MINUTES, Math.round((wh / w) * 60));

/** Turns instruments into what leaves the station. */
export function sampleOf(i: Instruments): Sample {
  const [solarW, wallW, acW, dcW] = [tenth(i.solarW), tenth(i.wallW), tenth(i.acW), tenth(i.dcW)];
  const inW = i.solarW + i.wallW;
  const outW = i.acW + i.dcW;
  return {
    quantities: {
      solarPowerW: solarW,
      chargerPowerW: wallW,
      inputPowerW: tenth(inW),
      acOutputPowerW: acW,
      dcOutputPowerW: dcW,
      outputPowerW: tenth(outW),
      stateOfChargePct: i.shownPct,
      batteryVoltageV: hundredth(i.batteryV),
      batteryCurrentA: hundredth(i.batteryA),
      batteryTempC: tenth(i.batteryC),
      solarVoltageV: hundredth(i.panelV),
      solarCurrentA: i.panelV > 1 ? hundredth(i.solarW / i.panelV) : 0,
      statedMinutesToEmpty: inW >= outW ? null : minutes(i.share * i.ratedWh, outW - inW),
      statedMinutesToFull: inW > outW ? minutes((1 - i.share) * i.ratedWh, inW - outW) : null,
    },
    states: i.states,
  };
}
