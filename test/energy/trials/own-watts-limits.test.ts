/** What a comparison by each station's own watts can tell at best, and what a figure by them is told as. */
import { expect, it } from 'vitest';
import { type Comparable, differenceOf } from '#energy/estimates/trials/compare';
import { halfWidth95 } from '#energy/estimates/trials/coverage';
import { figureOf } from '#energy/estimates/trials/figure';
import { ownGain } from '#energy/estimates/trials/own-watts';
import { normalTerm } from '#energy/estimates/trials/terms';
import { asTrue } from '#energy/estimates/trials/true-value';

const LIMIT_PCT = 3;
const REACH = 2 * LIMIT_PCT;

/** Share of the differences of two gains, each anywhere within the limits, that lie below x. Triangular. */
const below = (x: number): number => {
  const t = Math.min(REACH, Math.max(-REACH, x));
  return t <= 0 ? (REACH + t) ** 2 / (2 * REACH ** 2) : 1 - (REACH - t) ** 2 / (2 * REACH ** 2);
};
/** How often stations so far apart are told apart by a rule that calls equal ones unlike with so much chance. */
function power(apartPct: number, chanceOfFalse: number): number {
  const from = REACH * (1 - Math.sqrt(chanceOfFalse));
  return 1 - below(from - apartPct) + below(-from - apartPct);
}

it('two gains within 3 % each leave 4.66 % that cannot be told from none, and the judgement asks no more', () => {
  const terms = ['a', 'b'].map(station => ownGain(100, LIMIT_PCT, station, 'out'));
  expect(halfWidth95(terms)).toBeCloseTo(REACH * (1 - Math.sqrt(0.05)), 1);
});

it('so stations 5 % apart are told apart in 55 of 100 cases at best, in 59 with the false alarms that are allowed', () => {
  expect(power(5, 0.05)).toBeCloseTo(0.555, 2);
  // No rule does better for a difference either way: likelihoods of 5 % and of none grow apart with the distance alone.
  expect(power(5, 0.07)).toBeCloseTo(0.593, 2);
  expect(power(5 / (2.185 / LIMIT_PCT), 0.05)).toBeCloseTo(0.8, 2);
});

const comparable = (station: string, wh: number): Comparable => ({
  id: station,
  station,
  kind: 'usable',
  ownWattsLimitPct: LIMIT_PCT,
  result: {
    figures: [figureOf('deliveredWh', wh, 'Wh', 'ownWatts', [normalTerm('scatter', 1)])],
    curves: [],
    under: { meanW: 300, tempC: 20, fromPct: 100, toPct: 4 },
  },
});

it('the judge comes near that bound: what two runs differ by costs it less than a quarter of a percent', () => {
  const apart = differenceOf(comparable('a', 1000), comparable('b', 1050), 'deliveredWh')!;
  const half = (apart.high95 - apart.low95) / 2 / 1025;
  expect(100 * half).toBeGreaterThan(4.66);
  expect(100 * half).toBeLessThan(4.9);
});

it('a figure by own watts is told as unsure as these are; one by a meter, and one that says so itself, as it stands', () => {
  const own = figureOf('deliveredWh', 1000, 'Wh', 'ownWatts', [normalTerm('scatter', 1)]);
  const of = { station: 'a', ownWattsLimitPct: LIMIT_PCT };
  const told = asTrue(own, of);
  expect(told.high95 - told.value).toBeCloseTo(0.95 * 30, 0);
  expect(told.budget[0]!.source).toBe('ownWatts');
  for (const [what, against] of [
    ['deliveredByMeterWh', 'meter'],
    ['conversionPct', 'ownWatts'],
  ] as const) {
    const figure = figureOf(what, 90, '%', against, [normalTerm('scatter', 1)]);
    expect(asTrue(figure, of)).toBe(figure);
  }
});
