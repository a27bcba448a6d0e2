import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import { createReplay, type ReplayRow, type Told } from '#energy/estimates/scoring/replay';
import { fridgeNight, row } from '../../support/recorded-night.ts';

const MINUTE = 60_000;
const FACTS: RuntimeFacts = {
  ratedWh: 512,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: 0,
  panelsRatedW: null,
  solarMaxW: null,
  clearWm2: null,
};
const live = (rows: readonly ReplayRow[], at: readonly number[]): Told[] => {
  const replay = createReplay(createRuntimeEngine(FACTS.ratedWh), FACTS, 1);
  const told: Told[] = [];
  let next = 0;
  for (const r of rows) {
    for (; next < at.length && at[next]! <= r.at; next++) told.push(replay.tell(at[next]!));
    replay.add(r);
  }
  return told;
};
const NIGHT = fridgeNight();
const asks = [30, 60, 90, 120, 170, 200].map(min => NIGHT[0]!.at + min * MINUTE);

describe('a recording lived through again', () => {
  it('says the same whatever comes afterwards', () => {
    const whole = live(NIGHT, asks);
    fc.assert(
      fc.property(fc.integer({ min: 1, max: asks.length - 1 }), fc.integer({ min: 0, max: 3000 }), (ask, watts) => {
        const past = NIGHT.filter(r => r.at < asks[ask]!);
        const future = row(asks[ask]!, watts, Math.round(watts / 30));
        expect(live([...past, future], asks.slice(0, ask + 1))).toEqual(whole.slice(0, ask + 1));
      }),
      { numRuns: 12 },
    );
  });

  it('says the same every time', () => expect(live(NIGHT, asks)).toEqual(live(NIGHT, asks)));

  it('is silent before anything is known, and in a long gap', () => {
    const [first] = live(NIGHT, [NIGHT[0]!.at]);
    expect(first).toMatchObject({ empty: null, full: null, early: true });
    const gap = [...NIGHT.filter(r => r.at < asks[2]!), row(asks[5]!, 20, 30)];
    expect(live(gap, [asks[4]!])[0]).toMatchObject({ why: 'gap', empty: null });
  });

  it("carries the station's own word from its empty to the floor", () => {
    const rows = NIGHT.map(r => ({ ...r, statedMin: r.stateOfChargePct === 40 ? 200 : null }));
    const at = rows.find(r => r.statedMin !== null)!.at + 1;
    expect(live(rows, [at])[0]!.statedMin).toBe(150);
  });
});
