/** Results side by side, first week and years, from trials as the record keeps them. */
import { expect, test } from 'vitest';
import type { KeptTrial, WireFigure, WireTrial } from '#messages';
import { comparison, firstWeekOf, yearsAnswer } from '../../agent/commands/trials/beside.ts';
import type { TrialsRecord } from '../../agent/commands/trials/pieces.ts';
import { batch, dayDelta, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';
import { trialOfKind } from '../support/trials-reported.ts';
import { shedKnown } from '../support/trials-stage.ts';

const DAY = 86_400_000;

function kept(wire: WireTrial, startedAt: number, over: Partial<KeptTrial> = {}): KeptTrial {
  return {
    station: wire.station,
    id: wire.id,
    kind: wire.kind,
    startedAt,
    endedAt: null,
    optionsJson: JSON.stringify(wire.options),
    askedJson: JSON.stringify({ options: { ownWattsLimitPct: 3 }, gapLimitMs: 10_000, meterSource: null }),
    conditionsJson: '{}',
    stepsJson: '[]',
    typedJson: '[]',
    simulated: 0,
    version: '1.2.3',
    judgementJson: JSON.stringify(wire.judgement),
    judgedBy: '1.2.3',
    removedAt: null,
    ...over,
  };
}

/** Delivered, so many watt-hours. */
function delivering(id: string, wh: number): WireTrial {
  const made = trialOfKind('usable', { id });
  const figures = made.judgement.result!.figures.map(
    (f): WireFigure => ({
      ...f,
      value: wh,
      low95: wh - 5,
      high95: wh + 5,
      budget: f.budget.map(b => ({ ...b, shared: 'meter:plug' })),
    }),
  );
  return { ...made, judgement: { ...made.judgement, result: { ...made.judgement.result!, figures } } };
}

function recorded(trials: readonly KeptTrial[]): TrialsRecord {
  const record = openTestRecord(freshFolder());
  const full = reading(1, { stateOfChargePct: 100, outputPowerW: 60 });
  const day = dayDelta({ stateOfChargeMaxPct: 100, outputMilliJ: 85_000 * 3_600_000, coveredMs: 1000 });
  record.commit(batch([full], { days: [day], trials }));
  return record;
}

const [first, second] = [delivering('shed-usable-260603-aaaaaa', 850), delivering('shed-usable-270603-bbbbbb', 800)];
const pair = [kept(first, START_AT + DAY), kept(second, START_AT + 366 * DAY)];
const known = shedKnown({ paid: 850, warranty: { thresholdPct: 80 }, returnBy: '2026-06-16' });

test('what differs by more than its uncertainty is said to, and what the money buys has its range', () => {
  const { differences, worth, currency, trials } = comparison(
    recorded(pair),
    known,
    [first.id, second.id],
    START_AT,
    () => [],
  );
  expect(trials.map(({ id }) => id)).toEqual([first.id, second.id]);
  expect(differences[0]).toMatchObject({ what: 'deliveredByMeterWh', difference: -50, verdict: 'differs' });
  expect([worth[0]!.perDeliveredWh!.value, currency]).toEqual([expect.closeTo(1, 6), 'EUR']);
  expect(worth[0]!.perDeliveredWh!.low95).toBeLessThan(1);
});

test('a spoiled trial stands beside nothing, whatever its judgement holds', () => {
  const spoiled = { ...second, judgement: { ...second.judgement, phase: 'spoiled' as const } };
  const record = recorded([pair[0]!, kept(spoiled, START_AT + DAY)]);
  const { differences, worth } = comparison(record, known, [first.id, second.id], START_AT, () => []);
  expect([differences, worth.map(({ trial }) => trial)]).toEqual([[], [first.id]]);
  expect(yearsAnswer(record, 'shed', known.stations[0]).points.map(({ trial }) => trial)).toEqual([first.id]);
});

test('years tell full cycles, each trial beside the first, and the warranty only where the range lies on one side', () => {
  const years = yearsAnswer(recorded(pair), 'shed', known.stations[0]);
  expect(years.fullCycles!.value).toBeCloseTo(100, 0);
  expect(years.points.map(({ ofFirstPct }) => Math.round(ofFirstPct!.value))).toEqual([100, 94]);
  expect(years.trendPctAYear).toBeNull();
  // 800 of 1000 Wh on the label, known to 5: neither surely above 80 % nor surely below.
  expect(years.warranty).toMatchObject({ thresholdPct: 80, verdict: 'cannotSay' });
  const low = yearsAnswer(recorded(pair), 'shed', shedKnown({ warranty: { thresholdPct: 90 } }).stations[0]);
  expect(low.warranty).toMatchObject({ verdict: 'below' });
  expect(yearsAnswer(recorded(pair), 'shed', undefined).warranty).toBeNull();
});

test('the first week is planned from the first full charge to the last day to give it back', () => {
  const [station] = known.stations;
  const live = kept(first, START_AT, { judgementJson: null });
  const week = firstWeekOf(recorded([live]), { ...station!, zone: 'Europe/Berlin' }, START_AT + DAY);
  expect(week).toMatchObject({ firstSeen: '2026-06-03', returnBy: '2026-06-16' });
  expect(week.fullyChargedAt).toBe('2026-06-03T09:15:00.000Z');
  expect(week.steps.find(step => step.do === 'usable')).toMatchObject({ state: 'running', trial: first.id });
  expect(week.steps.at(-1)).toMatchObject({ do: 'decide', date: '2026-06-15' });
});
