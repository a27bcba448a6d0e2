/** The honey shed with what Wiring asks: three folding panels of 90 W, a port of 16 to 82 V, a coldest morning. */

export const SHED_PANEL = {
  name: 'Hive panel',
  ratedW: 90,
  count: 3,
  openCircuitV: 22.4,
  shortCircuitA: 5.1,
  maxPowerV: 18.6,
  maxPowerA: 4.84,
  openCircuitPctPerK: -0.31,
  powerPctPerK: -0.36,
  maxSeriesFuseA: 10,
  build: 'folding',
} as const;

export const SHED_PORT = { name: 'Solar port', minV: 16, maxV: 82, maxA: 9, maxW: 400 } as const;

/** The station as its owner would write it; typed, so that it needs no cable. */
export const wiredShed = () => ({
  id: 'shed',
  name: 'Honey shed',
  transport: { kind: 'typed' as const },
  ratedWh: 1500,
  solarPort: [{ ...SHED_PORT }],
  panel: [{ ...SHED_PANEL }],
  place: { latitudeDeg: 45.5, longitudeDeg: 9, coldestC: -15, hottestC: 38 },
});
