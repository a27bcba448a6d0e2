import { expect, test } from 'vitest';
import { START_AT } from '../support/record.ts';
import { SECOND_MS, watchedStation } from '../support/watched-station.ts';

test('saved every 60 s, each reading is live at once, what is unsaved is told, and a minute at most is at stake', async () => {
  const { hand, record, reader, watch, published, settled, live } = watchedStation(60_000);
  live(59);
  const readings = published.filter(({ message }) => message.type === 'reading');
  expect(readings.map(({ atMs }) => (atMs - START_AT) / SECOND_MS)).toEqual(
    Array.from({ length: 59 }, (_, i) => i + 1),
  );
  expect(reader.latest('shed')).toBeNull();
  expect(record.savedState()).toMatchObject({ lastSavedAt: null, commitIntervalMs: 60_000 });
  live(121);
  expect(settled.slice(-3)).toEqual([60_000, 60_000, 60_000]);
  const savedAt = reader.latest('shed')!.at;
  expect(record.savedState().lastSavedAt).toBe(savedAt);
  expect(hand.now() - savedAt).toBeLessThanOrEqual(60_000);
  expect([...reader.readings('shed', 0, START_AT * 2)]).toHaveLength((savedAt - START_AT) / SECOND_MS);
  // A minute's day totals come with its readings, never before.
  expect(reader.days('shed', '', '9')[0]!.coveredMs).toBe(savedAt - START_AT - SECOND_MS);
  live(30);
  await watch.close();
  expect(reader.latest('shed')!.at).toBe(hand.now());
});
