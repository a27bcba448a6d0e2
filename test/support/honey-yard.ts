/** The yard of the honey shed at noon: three spots, panels carried from one to the next, as the agent would tell it. */
import type { AimAnswer, LiveMessage, WireAim, WireMark, WireSpot, WireVerdict } from '#messages';
import { EVENING_AT, shedReading } from './honey-shed.ts';

const iso = (ms: number) => new Date(ms).toISOString();

export const yardMark = (change: Partial<WireMark> = {}): WireMark => ({
  id: 1,
  letter: 'A',
  at: iso(EVENING_AT - 150_000),
  spot: null,
  name: null,
  note: '',
  measured: { meanW: 124, giveOrTakeW: 3 },
  now: { meanW: 126, giveOrTakeW: 4 },
  why: 'ok',
  ...change,
});

export const threeMarks = (): WireMark[] => [
  yardMark({
    id: 3,
    letter: 'C',
    at: iso(EVENING_AT - 25_000),
    measured: { meanW: 214, giveOrTakeW: 3 },
    now: { meanW: 214, giveOrTakeW: 3 },
  }),
  yardMark({
    id: 2,
    letter: 'B',
    at: iso(EVENING_AT - 80_000),
    measured: { meanW: 198, giveOrTakeW: 3 },
    now: { meanW: 200, giveOrTakeW: 4 },
  }),
  yardMark(),
];

export const yardVerdict = (change: Partial<WireVerdict> = {}): WireVerdict => ({
  kind: 'better',
  here: 'C',
  than: 'B',
  differenceW: 14,
  giveOrTakeW: 5,
  sunExplainsW: 2,
  holdMs: null,
  limitedBy: null,
  ...change,
});

export const yardAim = (change: Partial<WireAim> = {}): WireAim => ({
  station: 'shed',
  at: iso(EVENING_AT),
  quantity: 'solarPowerW',
  sky: 'steady',
  here: { meanW: 214, giveOrTakeW: 3, sinceAt: iso(EVENING_AT - 30_000) },
  reference: null,
  marks: threeMarks(),
  verdict: yardVerdict(),
  ...change,
});

export const aimMessage = (change: Partial<WireAim> = {}): LiveMessage => ({ type: 'aim', aim: yardAim(change) });

/** Watts of the sun at a moment of the yard's clock; it ticks as often as the test wishes. */
export const sunReading = (watts: number | null, seq = 1, at = EVENING_AT): LiveMessage => ({
  type: 'reading',
  ageMs: 0,
  reading: shedReading({
    seq,
    at: iso(at),
    quantities: { solarPowerW: watts, inputPowerW: watts, outputPowerW: 41, stateOfChargePct: 52 },
  }),
});

export const yardSpot = (change: Partial<WireSpot> = {}): WireSpot => ({
  id: 'step',
  name: 'step',
  note: '',
  tiltDeg: 35,
  azimuthDeg: 180,
  standing: true,
  sinceAt: iso(EVENING_AT - 3_600_000),
  clearDays: 0,
  evidenceMin: 0,
  strip: null,
  next: null,
  skyline: null,
  ...change,
});

export const yardAnswer = (change: Partial<AimAnswer> = {}): AimAnswer => ({
  station: 'shed',
  pointing: null,
  spots: [
    yardSpot(),
    yardSpot({ id: 'fence', name: 'fence', tiltDeg: null, azimuthDeg: null, standing: false }),
    yardSpot({ id: 'hive-stand', name: 'hive stand', standing: false }),
  ],
  plan: null,
  track: null,
  carries: true,
  ...change,
});
