/**
 * Stations on the simulated plant that get fewer watts than a clear sky would give, each for one known reason, drawn by
 * seed: place in the day, wiring, panels, air. The plant's sky, panels and tracker are other models than the estimates'.
 */
import type { PointingAsked } from '#energy/estimates/pointing/asked';
import type { CauseCode, Observed, Wired } from '#energy/estimates/pointing/few-asked';
import { PANEL_DIODE, shedFacts } from '../../../simulators/honey-shed.ts';
import { FOLDING } from '../../../simulators/plant/light/cell-temperature.ts';
import { normalOf } from '../../../simulators/plant/light/plane.ts';
import type { NearThing } from '../../../simulators/plant/light/shade.ts';
import { createSky, type SkyAt } from '../../../simulators/plant/light/sky.ts';
import type { Load } from '../../../simulators/plant/loads/load.ts';
import { createPlant, type StationFacts } from '../../../simulators/plant/station.ts';
import { createSun } from '../../../simulators/plant/sun.ts';
import { type Regime, solarDay, weatherOf } from '../../../simulators/plant/weather.ts';

export const PLACE = { latitudeDeg: 46.05, longitudeDeg: 7.1 };
const MINUTE_MS = 60_000;
const DATES = ['2025-04-22', '2025-05-30', '2025-07-19', '2025-09-03'];
const WIRINGS = [
  [3, 1],
  [2, 1],
  [4, 1],
  [1, 2],
  [1, 3],
  [2, 2],
  [2, 3],
] as const;

export type Truth = Extract<
  CauseCode,
  'full' | 'taper' | 'port' | 'cold' | 'stringMissing' | 'panelShaded' | 'lowVoltage' | 'lead' | 'cloud'
>;
export const TRUTHS: readonly (Truth | 'nothing')[] = [
  'full',
  'taper',
  'port',
  'cold',
  'stringMissing',
  'panelShaded',
  'lowVoltage',
  'lead',
  'cloud',
  'nothing',
];

export interface Case {
  readonly truth: Truth | 'nothing';
  readonly observed: Observed;
  readonly wired: Wired;
  readonly asked: PointingAsked;
}

/** Numbers from 0 to 1, the same for the same seed (mulberry32, T. Ettinger, public domain). */
function chance(seed: number) {
  let state = seed | 0;
  const next = () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  return {
    between: (low: number, high: number) => low + (high - low) * next(),
    of: <T>(list: readonly T[]): T => list[Math.floor(next() * list.length)]!,
  };
}

const MOUNTED = { tiltDeg: 34, azimuthDeg: 178 };
const ROWS = 2;
const WIDTH_M = 1.1;
const EACH_M = 1.2;

/** What is drawn before the reason is put in. */
function setUp(truth: Truth | 'nothing', seed: number) {
  const { between, of } = chance(seed * 7919 + TRUTHS.indexOf(truth) * 104_729);
  const fitting = WIRINGS.filter(([series, parallel]) => {
    if (truth === 'stringMissing') return parallel > 1;
    if (truth === 'lowVoltage' || truth === 'panelShaded') return series > 1;
    return truth === 'lead' ? series < 3 : true;
  });
  const [series, parallel] = of(fitting);
  // One kind of panel has nearly twice the cells of the other.
  const cells = of([1, 1.8]);
  const atMs = Date.parse(`${of(DATES)}T00:00:00Z`) + between(8.4, 14.6) * 60 * MINUTE_MS;
  const regime: Regime = truth === 'cloud' ? of(['dull', 'broken'] as const) : 'clear';
  return { between, of, series, parallel, cells, atMs, regime, label: between(0.97, 1.03) };
}

type SetUp = ReturnType<typeof setUp>;

/** A sky of that kind on that day: the first seed from a drawn one on that has it. */
function skyOf({ atMs, regime, between }: SetUp, colderK: number): SkyAt {
  const day = solarDay(atMs, PLACE.longitudeDeg);
  let seed = Math.floor(between(1, 1e6));
  while (weatherOf(seed, day, 0).regime !== regime) seed++;
  const sky = createSky(seed, PLACE);
  return ms => {
    const seen = sky(ms);
    return { ...seen, airTempC: seen.airTempC - colderK };
  };
}

const still: Load = { name: 'lamp', side: 'dc', draw: ({ dcOn }) => (dcOn ? 11 : 0) };

function factsOf(truth: Truth | 'nothing', drawn: SetUp): { facts: StationFacts; wired: Wired } {
  const { series, parallel, cells, label, between } = drawn;
  const names = Array.from({ length: series * parallel }, (_, i) => `panel ${i + 1}`);
  let strings = Array.from({ length: parallel }, (_, p) => names.slice(p * series, (p + 1) * series));
  if (truth === 'stringMissing') strings = strings.slice(1);
  if (truth === 'lowVoltage') strings = strings.map(string => string.slice(0, 1));
  const lead = truth === 'lead' ? { lengthM: between(14, 24), conductorMm2: 1.5 } : { lengthM: 5, conductorMm2: 4 };
  const ohm = (2 * lead.lengthM * (1 + 0.00393 * 15)) / 58 / lead.conductorMm2;
  const diode = {
    ...PANEL_DIODE,
    lightA: PANEL_DIODE.lightA * label,
    idealityV: PANEL_DIODE.idealityV * cells,
    // The lead is shared by the strings: to each it is as many times as long.
    seriesOhm: PANEL_DIODE.seriesOhm * cells + (ohm * strings.length) / strings[0]!.length,
    shuntOhm: PANEL_DIODE.shuntOhm * cells,
  };
  const ratedW = 90 * cells * series * parallel;
  const minV = truth === 'lowVoltage' ? 22.4 * cells + 2 : 12;
  const port = {
    minV,
    maxV: series * 22.4 * cells * 1.35,
    maxA: parallel * 12,
    maxW: truth === 'port' ? ratedW * between(0.25, 0.45) : ratedW * 1.5,
  };
  const shed = shedFacts(PLACE);
  const big = truth === 'full' || truth === 'taper' ? 6 : 40;
  const facts: StationFacts = {
    ...shed,
    pack: { ...shed.pack, maxChargeA: big, capacityAh: 120, ratedWh: 6400 },
    array: {
      panels: names.map((name, i) => ({
        name,
        ratedW: 90 * cells,
        ...MOUNTED,
        diode,
        rows: ROWS,
        bypassV: 0.5,
        alongM: (i - (names.length - 1) / 2) * EACH_M,
        widthM: WIDTH_M,
        mounting: FOLDING,
      })),
      strings,
    },
    shade: { skyline: [], near: truth === 'panelShaded' ? [overOne(drawn, names.length)] : [] },
    solarPort: { name: 'port', ...port },
  };
  const wired: Wired = {
    count: names.length,
    ratedW,
    maxPowerV: 18.6 * cells,
    openCircuitV: 22.4 * cells,
    maxPowerA: 4.84,
    powerPerK: -0.0036,
    openCircuitPerK: -0.0031,
    port,
    lead,
    ceilingPct: 100,
    idleW: shed.converter.idleW + shed.housekeepingW,
  };
  return { facts, wired };
}

/** A board that throws its shadow on one panel, or on half of one. */
function overOne({ atMs, of, between }: SetUp, count: number): NearThing {
  const sun = createSun(PLACE)(atMs);
  const right = normalOf(90, MOUNTED.azimuthDeg + 90);
  const panel = (Math.floor(between(0, count)) - (count - 1) / 2) * EACH_M;
  const half = of([0, -1, 1]);
  const along = panel + (half * WIDTH_M) / 4;
  const level = Math.hypot(sun.east, sun.north);
  const way = 2.5;
  const east = along * right.east + (way * sun.east) / level;
  const north = along * right.north + (way * sun.north) / level;
  // As wide as it looks across the row.
  const across = Math.abs((sun.east * right.north - sun.north * right.east) / level);
  return {
    name: 'board',
    shape: 'board',
    azimuthDeg: ((Math.atan2(east, north) * 180) / Math.PI + 360) % 360,
    distanceM: Math.hypot(east, north),
    widthM: (half === 0 ? WIDTH_M : WIDTH_M / 2) * Math.max(0.3, across) * 0.9,
    heightM: 12,
    throughShare: 0,
  };
}

/** One case: the plant runs until the tracker has long settled, the last ten seconds are what was observed. */
export function caseOf(truth: Truth | 'nothing', seed: number): Case {
  const drawn = setUp(truth, seed);
  const { facts, wired } = factsOf(truth, drawn);
  const sky = skyOf(drawn, truth === 'cold' ? 32 : 0);
  const startPct = truth === 'full' ? 100 : truth === 'taper' ? drawn.between(94, 97) : drawn.between(35, 70);
  const soakMs = truth === 'cold' ? 6 * 60 * MINUTE_MS : 30 * MINUTE_MS;
  const plant = createPlant({
    ...PLACE,
    seed,
    zone: 'UTC',
    startMs: drawn.atMs - soakMs,
    startPct,
    facts,
    loads: () => [still],
    sky,
  });
  plant.step(drawn.atMs - 12 * MINUTE_MS, 30_000);
  plant.step(drawn.atMs - 10_000, 1000);
  const seen: ReturnType<typeof plant.sample>[] = [];
  for (let s = 0; s < 10; s++) {
    plant.step(drawn.atMs - 10_000 + (s + 1) * 1000, 1000);
    seen.push(plant.sample());
  }
  const mean = (name: 'solarPowerW' | 'solarVoltageV' | 'solarCurrentA' | 'outputPowerW') =>
    seen.reduce((sum, sample) => sum + (sample.quantities[name] ?? 0) / seen.length, 0);
  const last = seen.at(-1)!;
  return {
    truth,
    wired,
    observed: {
      gotW: mean('solarPowerW'),
      outputW: mean('outputPowerW'),
      stateOfChargePct: last.quantities.stateOfChargePct ?? null,
      batteryTempC: last.quantities.batteryTempC ?? null,
      solarVoltageV: mean('solarVoltageV'),
      solarCurrentA: mean('solarCurrentA'),
      limitedBy: last.states.inputLimitedBy,
      airTempC: sky(drawn.atMs).airTempC,
      planeOfArrayWm2: null,
      sky: steadiness(sky, drawn.atMs),
    },
    asked: {
      atMs: drawn.atMs,
      place: { ...PLACE, altitudeM: 0, turbidity: 3 },
      turbidityTold: false,
      panels: [{ ratedW: wired.ratedW, powerPerK: wired.powerPerK, plane: MOUNTED }],
      air: { tempC: sky(drawn.atMs).airTempC, windMs: null },
      airTold: true,
      day: dayOf(drawn.atMs),
      portMaxW: wired.port.maxW,
    },
  };
}

function dayOf(atMs: number) {
  const startMs = Math.floor(atMs / 86_400_000) * 86_400_000;
  return { startMs, endMs: startMs + 86_400_000 };
}

/** Light of the last minutes that wanders by more than 4 %. */
function steadiness(sky: SkyAt, atMs: number): 'steady' | 'unsteady' {
  const light = Array.from({ length: 31 }, (_, i) => sky(atMs - i * 10_000).globalWm2);
  const mean = light.reduce((sum, x) => sum + x, 0) / light.length;
  return Math.max(...light) - Math.min(...light) > 0.04 * mean ? 'unsteady' : 'steady';
}
