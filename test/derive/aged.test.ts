import { describe, expect, it } from 'vitest';
import { beliefIn } from '#energy/estimates/gauge-belief';
import type { RuntimeMemory } from '#energy/estimates/runtime/engine';
import { learnedAsKept, learnedFrom } from '../../agent/commands/run/learned.ts';
import { agedMemory } from '../../agent/derive/aged.ts';
import { livedStation } from '../support/lived-station.ts';

const DAY = 86_400_000;
// As it comes from the record: JSON knows no negative zero.
const memory: RuntimeMemory = JSON.parse(
  JSON.stringify(livedStation(m => 40 + 120 * Number(m % 90 < 40), { minutes: 500 }).engine.memory()),
);
const variances = ({ gauge }: RuntimeMemory) => {
  const { covariance } = beliefIn(gauge, 'on', 1);
  return [covariance[0]!, covariance[4]!, covariance[8]!];
};

describe('what was learned, after a while unseen', () => {
  it('is as sure as it was a moment ago, and less sure the longer it lay', () => {
    expect(agedMemory(memory, 0)).toEqual(memory);
    const sure = [0, 30, 180, 720, 36_500].map(days => variances(agedMemory(memory, days * DAY)));
    for (let i = 1; i < sure.length; i++)
      for (const [k, v] of sure[i]!.entries()) expect(v).toBeGreaterThanOrEqual(sure[i - 1]![k]!);
    // Never less sure than the label alone: 6 % of 1.11, 40 % of 11 W.
    expect(sure.at(-1)![0]).toBeCloseTo((1.11 * 0.06) ** 2, 6);
    expect(sure.at(-1)![1]).toBeCloseTo(4.4 ** 2, 3);
  });

  it('stays what it was: only the sureness goes', () => {
    const aged = agedMemory(memory, 400 * DAY);
    expect(aged.gauge.mean).toEqual(memory.gauge.mean);
    expect(aged.foretold).toEqual(memory.foretold);
  });

  it('ages by the days that went by, however often it was looked at meanwhile', () => {
    let step = memory;
    for (let i = 0; i < 9; i++) step = agedMemory(step, 10 * DAY);
    for (const [k, v] of variances(agedMemory(memory, 90 * DAY)).entries())
      expect(variances(step)[k]! / v).toBeCloseTo(1, 9);
  });

  it('is kept with the instant of its last reading and comes back as sure as it then still is', () => {
    const kept = learnedAsKept(JSON.stringify(memory), 1000 * DAY);
    expect(learnedFrom(kept, 1000 * DAY)).toEqual(memory);
    expect(learnedFrom(kept, 1180 * DAY)).toEqual(agedMemory(memory, 180 * DAY));
    expect(learnedFrom(null, 0)).toBeNull();
    expect(learnedFrom('{"version":1,"memory":{}}', 0)).toBeNull();
  });
});
