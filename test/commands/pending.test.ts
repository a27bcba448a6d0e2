import { expect, test } from 'vitest';
import { createPending } from '../../agent/commands/run/pending.ts';
import { dayDelta, reading } from '../support/record.ts';

test('a batch that was given out stays as it is, whatever comes while it is saved', () => {
  const pending = createPending();
  const { station, ...part } = dayDelta({ solarMilliJ: 5, coveredMs: 1000 });
  pending.learned({ station, valueJson: '{}' });
  for (let i = 0; i < 3; i++) pending.day(station, part);
  const first = pending.batch()!;
  expect(first.days).toEqual([{ station, ...part, solarMilliJ: 15, coveredMs: 3000 }]);
  pending.day(station, part);
  pending.day(station, part);
  expect(first.days).toEqual([{ station, ...part, solarMilliJ: 15, coveredMs: 3000 }]);
  expect(pending.batch()!.days).toEqual([{ station, ...part, solarMilliJ: 25, coveredMs: 5000 }]);
  expect(part.solarMilliJ).toBe(5);
  pending.saved();
  pending.learned({ station, valueJson: '{}' });
  expect(pending.batch()!.days).toEqual([]);
});

test('a batch that was given out holds the readings of that moment, whatever is read while it is saved', () => {
  const pending = createPending();
  const read = (seq: number) => {
    const { station, session, at } = reading(seq, {});
    pending.reading(reading(seq, {}), { station, session, seq, at, inputSource: 'sun' });
  };
  read(1);
  const first = pending.batch()!;
  read(2);
  expect(first.readings.map(({ seq }) => seq)).toEqual([1]);
  expect(pending.batch()!.readings.map(({ seq }) => seq)).toEqual([1, 2]);
});

test('a date in two zones is two days, also where both wait for one commit', () => {
  const pending = createPending();
  const { station, ...rome } = dayDelta({ zone: 'Europe/Rome', solarMilliJ: 5 });
  const lisbon = { ...rome, zone: 'Europe/Lisbon', startMs: rome.startMs + 3_600_000, endMs: rome.endMs + 3_600_000 };
  for (const part of [rome, lisbon, lisbon]) pending.day(station, part);
  pending.learned({ station, valueJson: '{}' });
  expect(pending.batch()!.days).toEqual([
    { station, ...rome },
    { station, ...lisbon, solarMilliJ: 10 },
  ]);
});
