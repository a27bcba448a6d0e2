import { describe, expect, it } from 'vitest';
import { tallies } from '../../backtest/trials/held.ts';
import { pairVerdicts, proveAll, spoiledTold } from '../../backtest/trials/run.ts';

/** The first stations of `npm run backtest -- trials`, which takes a thousand; all of them are in the long loops. */
const STATIONS = 10;
const PAIRS = 6;

describe('the first stations with hidden values', () => {
  it('lie within what was stated of them, nearly always, through every kind of trial', () => {
    const proved = proveAll(STATIONS);
    const held = proved.flatMap(p => p.held);
    // Of so few: the whole is held against 93 to 97.
    const all = held.filter(h => h.low <= h.truth && h.truth <= h.high).length / held.length;
    expect(all).toBeGreaterThan(0.91);
    for (const t of tallies(held)) expect([t.name, t.heldShare > 0.7]).toEqual([t.name, true]);
    const of = (name: string) => tallies(held).find(t => t.name === name)!;
    expect(of('usable: Wh by own watts').p95ErrorPct).toBeLessThan(1.5);
    expect(of('own draw: W').medianError).toBeLessThanOrEqual(1);
    expect(proved.flatMap(p => p.notGood).length).toBeLessThanOrEqual(2);
  });

  it('equal ones are not told apart, ones five percent apart are, by one meter', () => {
    expect(pairVerdicts(PAIRS, 1).byMeter.same).toBeGreaterThanOrEqual(0.6);
    expect(pairVerdicts(PAIRS, 0.95).byMeter.differs).toBeGreaterThanOrEqual(0.8);
  });

  it('no spoiled run is told as good', () => {
    for (const told of spoiledTold(1)) expect([told.fault, told.kind, told.good]).toEqual([told.fault, told.kind, 0]);
  });
});
