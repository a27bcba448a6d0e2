/**
 * kill -9 at random moments: a child writes, is killed, and what it left is judged. Ordinary suite: a few rounds; the
 * long one: many.
 */
import { expect } from 'vitest';
import { dayOf, milliJOf } from '../store/children/scripted.ts';
import { startChild } from './child.ts';
import { openTestRecord } from './record.ts';
import { seededRandom } from './seeded-random.ts';

export { seededRandom } from './seeded-random.ts';

const END_AT = 8.64e15;

interface Acknowledged {
  session: string;
  seq: number;
}

/** What a record must be after any death: complete up to what was acknowledged, whole batches, totals = its readings. */
export function expectWholeRecord(dir: string, acknowledged: readonly Acknowledged[]): void {
  const record = openTestRecord(dir);
  expect(record.check()).toEqual([]);
  expect(record.checkSeals()).toEqual([]);
  const readings = [...record.readings('shed', 0, END_AT)];
  const count = new Map<string, number>();
  const totals = new Map<string, number>();
  for (const reading of readings) {
    const { session, seq, at } = reading;
    expect(seq).toBe((count.get(session) ?? 0) + 1);
    count.set(session, seq);
    const { date } = dayOf(at);
    totals.set(date, (totals.get(date) ?? 0) + milliJOf(reading));
  }
  for (const { session, seq } of acknowledged) expect(count.get(session) ?? 0).toBeGreaterThanOrEqual(seq);
  for (const seq of count.values()) expect(seq % 10).toBe(0);
  const days = record.days('shed', '', '9');
  expect(days.map(day => [day.date, day.solarMilliJ])).toEqual([...totals]);
  expect(days.reduce((sum, day) => sum + day.coveredMs, 0)).toBe(readings.length);
  if (readings.length > 0) {
    const last = readings.at(-1)!;
    expect(record.cursor('shed')).toMatchObject({ session: last.session, seq: last.seq, at: last.at });
    expectRollupsAgree(record, readings);
  }
  record.close();
}

/** Rollups lead to the same means as the readings they came from. */
function expectRollupsAgree(
  record: ReturnType<typeof openTestRecord>,
  readings: readonly { at: number; quantities: object }[],
) {
  const [fromMs, toMs] = [readings[0]!.at, readings.at(-1)!.at + 1];
  const series = record.series({ station: 'shed', quantities: ['inputPowerW'], fromMs, toMs, points: 200 });
  const sums = new Map<number, { sum: number; count: number }>();
  for (const { at, quantities } of readings as readonly { at: number; quantities: { inputPowerW: number } }[]) {
    const bucket = Math.floor((at - series.startMs) / series.stepMs);
    const held = sums.get(bucket) ?? { sum: 0, count: 0 };
    sums.set(bucket, { sum: held.sum + Math.round(quantities.inputPowerW * 10), count: held.count + 1 });
  }
  const wanted = Array.from({ length: series.count }, (_, bucket) => {
    const held = sums.get(bucket);
    return held === undefined ? null : held.sum / held.count / 10;
  });
  expect(series.columns.inputPowerW!.mean).toEqual(wanted);
}

/** Runs the rounds over one folder and judges it after each; gives how many batches were acknowledged in all. */
export async function killRounds(dir: string, rounds: number, seed: number): Promise<number> {
  const random = seededRandom(seed);
  const acknowledged: Acknowledged[] = [];
  for (let round = 1; round <= rounds; round++) {
    const child = startChild('test/store/children/writer.ts', [dir, String(round)]);
    const lines = 1 + Math.floor(random() * 60);
    for (let line = 0; line < lines; line++) acknowledged.push(JSON.parse((await child.line()) ?? child.stderr()));
    // In the middle of the next commits, not between two of them.
    await new Promise(resolve => setTimeout(resolve, random() * 20));
    await child.kill();
    for (let line = await child.line(); line !== null; line = await child.line()) acknowledged.push(JSON.parse(line));
    expectWholeRecord(dir, acknowledged);
  }
  return acknowledged.length;
}
