import { beforeAll, describe, expect, it } from 'vitest';
import { expectedBand } from '#energy/estimates/pointing/expected';
import type { Observed } from '#energy/estimates/pointing/few-asked';
import { whySoFew } from '#energy/estimates/pointing/why-so-few';
import { UNKNOWN_AIR } from '#energy/panel-power';
import { type Case, caseOf, TRUTHS } from './plant-cases.ts';

// The estimates were fitted on other seeds.
const SEEDS = Array.from({ length: 30 }, (_, i) => 5001 + i);

/** What a station tells: everything; no word on what limits it; no volts either; little more than the watts. */
const NO_WORD: Partial<Observed> = { limitedBy: null };
const NO_VOLTS: Partial<Observed> = { ...NO_WORD, solarVoltageV: null, solarCurrentA: null };
const LITTLE: Partial<Observed> = { ...NO_VOLTS, batteryTempC: null, airTempC: null, sky: 'unknown' };
const TELLING = { everything: {}, noWord: NO_WORD, noVolts: NO_VOLTS, little: LITTLE };
type Level = keyof typeof TELLING;

interface Told {
  truth: Case['truth'];
  level: Level;
  /** null: as much comes in as is expected. */
  first: string | null;
  named: boolean;
  likely: boolean;
}
const told: Told[] = [];
/** Clear and nothing wrong: whether the watts lay in the band. */
const inBand: boolean[] = [];

beforeAll(() => {
  for (const truth of TRUTHS) {
    for (const seed of SEEDS) {
      const { observed, asked, wired } = caseOf(truth, seed);
      if (truth === 'nothing') {
        const { lowW, highW } = expectedBand(asked)!;
        inBand.push(observed.gotW >= lowW && observed.gotW <= highW);
      }
      for (const level of Object.keys(TELLING) as Level[]) {
        const band = expectedBand(level === 'little' ? { ...asked, air: UNKNOWN_AIR, airTold: false } : asked)!;
        const causes = whySoFew({ ...observed, ...TELLING[level] }, band, wired);
        told.push({
          truth,
          level,
          first: causes[0]?.cause ?? null,
          named: causes.some(({ cause }) => cause === truth),
          likely: causes[0]?.likely ?? false,
        });
      }
    }
  }
}, 180_000);

const judged = (level: Level) =>
  told.filter(one => one.level === level && one.truth !== 'nothing' && one.first !== null);
const share = (list: readonly Told[], is: (one: Told) => boolean) => list.filter(is).length / list.length;

/** Rows: what was so; columns: what was put first. */
const table = (level: Level) =>
  TRUTHS.map(truth => {
    const counts: Record<string, number> = {};
    for (const one of told.filter(t => t.level === level && t.truth === truth)) {
      const key = one.first === null ? 'as expected' : one.likely ? `${one.first}, likely` : one.first;
      counts[key] = (counts[key] ?? 0) + 1;
    }
    return `${truth}: ${Object.entries(counts)
      .map(([k, n]) => `${k} ${n}`)
      .join(' · ')}`;
  }).join('\n');

describe('why so few watts, on the plant', () => {
  it.each(['everything', 'noWord'] as const)(
    'puts the true cause first in nine of ten where the station tells %s',
    level => {
      expect(
        share(judged(level), ({ first, truth }) => first === truth),
        table(level),
      ).toBeGreaterThanOrEqual(0.9);
    },
  );

  it.each(TRUTHS.filter(truth => truth !== 'nothing'))('puts %s first in most cases', truth => {
    const own = judged('everything').filter(one => one.truth === truth);
    expect(own.length).toBeGreaterThan(10);
    expect(
      share(own, ({ first }) => first === truth),
      table('everything'),
    ).toBeGreaterThanOrEqual(0.85);
  });

  it.each(Object.keys(TELLING) as Level[])(
    'calls a wrong cause likely in less than one of twenty where it tells %s',
    level => {
      const wrong = judged(level).filter(({ likely, first, truth }) => likely && first !== truth);
      expect(wrong.length / judged(level).length, table(level)).toBeLessThan(0.05);
    },
  );

  it('names the true cause somewhere in nine of ten, however little is told', () => {
    for (const level of Object.keys(TELLING) as Level[])
      expect(
        share(judged(level), ({ named }) => named),
        table(level),
      ).toBeGreaterThanOrEqual(0.9);
  });

  it('has nothing to say where nothing is wrong', () => {
    const well = told.filter(({ truth }) => truth === 'nothing');
    expect(share(well, ({ first }) => first === null)).toBeGreaterThanOrEqual(0.95);
    expect(inBand.filter(Boolean).length / inBand.length).toBeGreaterThanOrEqual(0.9);
  });
});
