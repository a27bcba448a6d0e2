/** The aiming of a station as a test's server is given it: nothing learned yet, one mark, and a note of what is asked. */
import type { AimAnswer, LiveMessage, WireAim, WireMark } from '#messages';
import type { AimDoor } from '../../agent/server/deps.ts';

export const FIRST_MARK: WireMark = {
  id: 1,
  letter: 'A',
  at: '2026-06-03T09:15:00.000Z',
  spot: null,
  name: null,
  note: 'by the stone',
  measured: { meanW: 212.4, giveOrTakeW: 2.6 },
  now: { meanW: 212.4, giveOrTakeW: 2.6 },
  why: 'ok',
};

export const aimOf = (station: string, more: Partial<WireAim> = {}): WireAim => ({
  station,
  at: '2026-06-03T09:15:01.000Z',
  quantity: 'solarPowerW',
  sky: 'steady',
  here: { meanW: 212.4, giveOrTakeW: 2.6, sinceAt: '2026-06-03T09:14:12.000Z' },
  reference: null,
  marks: [FIRST_MARK],
  verdict: {
    kind: 'none',
    here: 'A',
    than: null,
    differenceW: null,
    giveOrTakeW: null,
    sunExplainsW: null,
    holdMs: null,
    limitedBy: null,
  },
  ...more,
});

export const aimMessage = (station: string, more: Partial<WireAim> = {}): LiveMessage => ({
  type: 'aim',
  aim: aimOf(station, more),
});

export const nothingLearned = (station: string): AimAnswer => ({
  station,
  pointing: null,
  spots: [],
  track: null,
  plan: null,
  carries: false,
});

/** @param told what was asked, in order */
export const aimTold = (told: unknown[][]): AimDoor => ({
  current: station => aimMessage(station),
  answer: async station => nothingLearned(station),
  mark(station, choice) {
    told.push(['mark', station, choice]);
    return { mark: FIRST_MARK, why: 'ok' };
  },
  changeMarks: (station, change) => void told.push(['marks', station, change]),
  changeSpots: (station, change) => void told.push(['spots', station, change]),
});
