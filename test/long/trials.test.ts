import { expect, it } from 'vitest';
import { TRIAL_KINDS } from '#energy/estimates/trials/asked';
import { tallies } from '../backtest/trials/held.ts';
import { PAIRS, pairVerdicts, proveAll, SPOILED_EACH, STATIONS, spoiledTold } from '../backtest/trials/run.ts';

const LONG_MS = 1_800_000;

it(
  'a thousand stations with hidden values: every range holds 93 to 97 in a hundred, no good run is called spoiled',
  () => {
    const proved = proveAll(STATIONS);
    const all = tallies(proved.flatMap(p => p.held));
    for (const t of all) expect([t.name, t.heldShare >= 0.93, t.heldShare <= 0.97]).toEqual([t.name, true, true]);
    const of = (name: string) => all.find(t => t.name === name)!;
    expect(of('usable: Wh by own watts').p95ErrorPct).toBeLessThan(1.5);
    expect(of('own draw: W').medianError).toBeLessThanOrEqual(1);
    const curves = proved.flatMap(p => p.curves);
    // Greatest error anywhere from 50 W up; absolutely by a meter and battery sensors that are each off by up to 1 %.
    const within = (by: string) => {
      const worst = curves.filter(c => c.by === by).map(c => c.worst);
      return worst.filter(w => w <= 1.5).length / worst.length;
    };
    expect(within('as the station tells watts')).toBeGreaterThan(0.97);
    expect(within('volts and amperes, meter')).toBeGreaterThan(0.85);
    for (const kind of TRIAL_KINDS) {
      const notGood = proved.filter(p => p.notGood.includes(kind)).length;
      expect([kind, notGood <= 0.02 * STATIONS]).toEqual([kind, true]);
    }
  },
  LONG_MS,
);

it(
  'pairs of stations: equal ones are not told apart, ones five percent apart are',
  () => {
    expect(pairVerdicts(PAIRS, 1).byMeter.same).toBeGreaterThanOrEqual(0.93);
    expect(pairVerdicts(PAIRS, 0.95).byMeter.differs).toBeGreaterThanOrEqual(0.8);
  },
  LONG_MS,
);

it(
  'whatever spoils a trial is found, and never told as good',
  () => {
    for (const told of spoiledTold(SPOILED_EACH))
      expect([told.fault, told.kind, told.good]).toEqual([told.fault, told.kind, 0]);
  },
  LONG_MS,
);
