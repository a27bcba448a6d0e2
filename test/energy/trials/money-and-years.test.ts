import { expect, it } from 'vitest';
import type { TrialResult } from '#energy/estimates/trials/asked';
import { figureOf } from '#energy/estimates/trials/figure';
import { type FirstWeekAsked, firstWeek } from '#energy/estimates/trials/first-week';
import { normalTerm } from '#energy/estimates/trials/terms';
import { exactly, harvestAYear, worthOf } from '#energy/estimates/trials/worth';
import { type YearTrial, yearsOf } from '#energy/estimates/trials/years';

const YEAR_MS = 365.25 * 86_400_000;

it('money for each watt-hour and years until it is paid back, with ranges', () => {
  const delivered = { value: 1000, low95: 970, high95: 1030 };
  const harvest = { value: 100_000, low95: 80_000, high95: 125_000 };
  const worth = worthOf({
    paid: 900,
    delivered,
    harvestWhAYear: harvest,
    perKWh: { value: 0.3, low95: 0.25, high95: 0.36 },
  });
  expect(worth.perDeliveredWh!.value).toBeCloseTo(0.9, 6);
  expect(worth.perDeliveredWh!.low95).toBeCloseTo(900 / 1030, 3);
  expect(worth.perHarvestedWhAYear!.value).toBeCloseTo(0.009, 6);
  // 100 kWh a year at 0.30: 30 a year.
  expect(worth.payBackYears!.value).toBeCloseTo(30, 6);
  expect(worth.payBackYears!.low95).toBeGreaterThan(900 / (125 * 0.36));
  expect(worth.payBackYears!.high95).toBeLessThan(900 / (80 * 0.25));
  expect(worthOf({ paid: null, delivered, harvestWhAYear: harvest, perKWh: null }).perDeliveredWh).toBeNull();
  expect(worthOf({ paid: 900, delivered, harvestWhAYear: null, perKWh: exactly(0.3) }).payBackYears).toBeNull();
});

it("a year's harvest is the clear sky's, by what the weather leaves and what the trial found", () => {
  const found = figureOf('ofClearSkyPct', 90, '%', 'clearSky', [normalTerm('clearSky', 4)]);
  const year = harvestAYear(found, exactly(500_000), { value: 0.6, low95: 0.5, high95: 0.7 });
  expect(year.value).toBeCloseTo(270_000, 0);
  expect(year.low95).toBeLessThan(225_000 * 1.02);
  expect(harvestAYear(null, exactly(500_000), exactly(0.6)).value).toBeCloseTo(300_000, 0);
});

const week = (change: Partial<FirstWeekAsked>): FirstWeekAsked => ({
  firstSeen: '2026-06-01',
  today: '2026-06-01',
  returnBy: '2026-06-15',
  fullyCharged: null,
  hasPanels: true,
  tellsBattery: true,
  trials: [],
  ...change,
});

it('the first week begins with a full charge, nothing is judged before it, and ends a day before the last', () => {
  const { steps, leftOut } = firstWeek(week({}));
  expect(steps.map(s => s.do)).toEqual(['fullCharge', 'usable', 'charge', 'ownDraw', 'solar', 'converter', 'decide']);
  expect(leftOut).toEqual([]);
  for (const step of steps.slice(1)) expect(step.date > steps[0]!.date).toBe(true);
  expect(steps.at(-1)!.date).toBe('2026-06-14');
});

it('a short window keeps what tells most; what is late moves to today, what is done stays done', () => {
  const short = firstWeek(week({ returnBy: '2026-06-04' }));
  expect(short.steps.map(s => s.do)).toEqual(['fullCharge', 'usable', 'charge', 'decide']);
  expect(short.leftOut).toEqual(['ownDraw', 'solar', 'converter']);
  const later = firstWeek(
    week({
      today: '2026-06-06',
      fullyCharged: '2026-06-02',
      trials: [{ id: 't1', kind: 'usable', state: 'done', date: '2026-06-03' }],
    }),
  );
  expect(later.steps.slice(0, 3).map(s => [s.do, s.state])).toEqual([
    ['fullCharge', 'done'],
    ['usable', 'done'],
    ['charge', 'late'],
  ]);
  // What was done keeps its day, and all stand in the order of their days.
  expect(later.steps[1]!.date).toBe('2026-06-03');
  const dates = later.steps.map(({ date }) => date);
  expect(dates).toEqual([...dates].sort());
  expect(later.steps[2]!.date).toBe('2026-06-06');
  expect(firstWeek(week({ hasPanels: false, tellsBattery: false })).steps.map(s => s.do)).not.toContain('solar');
});

function yearTrial(id: string, year: number, wh: number, change: Partial<TrialResult['under']> = {}): YearTrial {
  return {
    id,
    at: year * YEAR_MS,
    station: 's',
    kind: 'usable',
    ownWattsLimitPct: 3,
    result: {
      figures: [figureOf('deliveredWh', wh, 'Wh', 'ownWatts', [normalTerm('scatter', 2)])],
      curves: [],
      under: { meanW: 200, tempC: 20, fromPct: 100, toPct: 3, ...change },
    },
  };
}

it('over the years: full cycles, a fall with its range, unlike runs left out, a promise held against the range', () => {
  const trials = [
    yearTrial('a', 0, 1000),
    yearTrial('cold', 0.5, 860, { tempC: 2 }),
    yearTrial('b', 1, 980),
    yearTrial('c', 2, 962),
    yearTrial('d', 3, 941),
  ];
  const years = yearsOf(trials, exactly(250_000), { thresholdPct: 80, of: 'first', ratedWh: null });
  expect(years.fullCycles!.value).toBeCloseTo(250, 6);
  expect(years.points.map(p => p.comparable)).toEqual([true, false, true, true, true]);
  // Of one station's own watts how far these are off cancels: far narrower than ± 3 %.
  const last = years.points.at(-1)!.ofFirstPct!;
  expect(last.value).toBeCloseTo(94.1, 6);
  expect(last.high95 - last.low95).toBeLessThan(3.5);
  expect(years.trendPctAYear!.value).toBeCloseTo(-1.9, 0);
  expect(years.trendPctAYear!.high95).toBeLessThan(0);
  expect(years.warranty).toBe('above');
  const promised = (thresholdPct: number) =>
    yearsOf(trials, null, { thresholdPct, of: 'first', ratedWh: null }).warranty;
  expect([promised(94), promised(99)]).toEqual(['cannotSay', 'below']);
  expect(yearsOf(trials.slice(0, 2), null, null).trendPctAYear).toBeNull();
});

it('one trial with a meter and one without stand beside each other by the own watts that both have', () => {
  const [first, later] = [yearTrial('a', 0, 1000), yearTrial('b', 1, 970)];
  const meter = figureOf('deliveredByMeterWh', 990, 'Wh', 'meter', [normalTerm('meter', 3)]);
  const metered = { ...first, result: { ...first.result, figures: [meter, ...first.result.figures] } };
  const [one, other] = yearsOf([metered, later], null, null).points;
  expect(one!.usable.value).toBe(990);
  expect(other!.ofFirstPct!.value).toBeCloseTo(97, 6);
});
