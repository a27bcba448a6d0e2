/** Where to point, as the agent tells it of the yard of the honey shed on a clear afternoon; and with one panel in shade. */
import type { WirePointing } from '#messages';
import { EVENING_AT } from './honey-shed.ts';

const iso = (ms: number) => new Date(ms).toISOString();
const HOUR_MS = 3_600_000;

export const pointed = (change: Partial<WirePointing> = {}): WirePointing => ({
  sun: { elevationDeg: 51.4, azimuthDeg: 212.3 },
  sunriseAt: iso(EVENING_AT - 14 * HOUR_MS),
  sunsetAt: iso(EVENING_AT + 1.75 * HOUR_MS),
  nextSunriseAt: iso(EVENING_AT + 10 * HOUR_MS),
  bestNow: { tiltDeg: 38.9, azimuthDeg: 212.3 },
  panelsW: 270,
  restOfDay: {
    best: { tiltDeg: 47.6, azimuthDeg: 246.2 },
    bestWh: 1084.4,
    flatWh: 861.2,
    leftAtSunWh: 902.7,
    standingWh: 812.3,
    turnings: [
      {
        until: { tiltDeg: 42.1, azimuthDeg: 227.8 },
        at: iso(EVENING_AT + HOUR_MS),
        to: { tiltDeg: 66.4, azimuthDeg: 268.9 },
        gainWh: 96.2,
      },
      {
        until: { tiltDeg: 38.2, azimuthDeg: 218.2 },
        at: iso(EVENING_AT + 0.5 * HOUR_MS),
        to: { tiltDeg: 55.4, azimuthDeg: 256.3 },
        gainWh: 71.4,
      },
    ],
  },
  shadow: { lengthM: 0.8, towardDeg: 32.3 },
  expected: {
    lowW: 187.2,
    middleW: 212.9,
    highW: 236.4,
    spreads: [
      { of: 'air', pct: 9.6 },
      { of: 'warmth', pct: 5.4 },
      { of: 'label', pct: 5 },
      { of: 'dirt', pct: 3 },
      { of: 'plane', pct: 1.6 },
    ],
  },
  causes: [],
  ...change,
});

export const shadedPointed = (): WirePointing =>
  pointed({
    causes: [
      { cause: 'panelShaded', likely: true, explainsW: 71 },
      { cause: 'cloud', likely: false, explainsW: 70 },
      { cause: 'dirt', likely: false, explainsW: 64 },
    ],
  });
