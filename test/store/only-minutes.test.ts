import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import type { Reading } from '#kit';
import { planRestore, restoreSnapshot } from '../../agent/store/keep/restore.ts';
import { makeSnapshot } from '../../agent/store/keep/snapshot.ts';
import { openDatabase } from '../../agent/store/kept.ts';
import { ALL, HOUR_MS, hourOfReadings, LATER, letGo, letGoFolder, rawBefore, wholeFolder } from '../support/let-go.ts';
import { batch, freshFolder, openTestRecord, reading } from '../support/record.ts';
import { DAY_MS, FIRST_DAY } from '../support/sealed-days.ts';

const MINUTE_MS = 60_000;
const YOUNG = FIRST_DAY + 14 * DAY_MS;
const at = (day: number, hour: number) => FIRST_DAY + day * DAY_MS + hour * HOUR_MS;

/** One minute's means, the plain way. */
function meansOf(readings: readonly Reading[]): object[] {
  const minutes = new Map<number, Reading[]>();
  for (const one of readings.filter(r => r.quality !== 'bad')) {
    const minute = Math.floor(one.at / MINUTE_MS) * MINUTE_MS;
    minutes.set(minute, [...(minutes.get(minute) ?? []), one]);
  }
  return [...minutes].map(([minute, of]) => {
    const mean = (key: 'inputPowerW' | 'outputPowerW') => {
      const values = of.flatMap(r => r.quantities[key] ?? []);
      const sum = values.reduce((a, b) => a + Math.round(b * 10), 0);
      return values.length === 0 ? {} : { [key]: Math.round(sum / values.length) / 10 };
    };
    const quantities = {
      ...mean('inputPowerW'),
      ...mean('outputPowerW'),
      inputEnergyWh: of[0]!.quantities.inputEnergyWh,
    };
    return { at: minute, quantities, meanOverMs: MINUTE_MS };
  });
}

describe('where readings were let go', () => {
  test('minutes are told in their place, marked as what they are, and the young readings as they came', () => {
    const record = openTestRecord(letGoFolder());
    const told = [...record.readings('shed', 0, LATER)];
    const [minutes, readings] = [
      told.filter(r => r.meanOverMs !== undefined),
      told.filter(r => r.meanOverMs === undefined),
    ];
    expect(readings).toEqual(ALL.filter(r => r.at >= YOUNG));
    expect(minutes.map(({ at, quantities, meanOverMs }) => ({ at, quantities, meanOverMs }))).toEqual(
      meansOf(ALL.filter(r => r.at < YOUNG)),
    );
    expect(told.map(r => r.at)).toEqual(told.map(r => r.at).sort((a, b) => a - b));
    expect([...record.readings('shed', at(0, 9) + 1, at(0, 10))].map(r => r.at)).toEqual(
      Array.from({ length: 59 }, (_, i) => at(0, 9) + (i + 1) * MINUTE_MS),
    );
  });

  test('a finer question is answered by the minute, without a false gap, and one of whole minutes as before', () => {
    const dir = wholeFolder();
    const ask = (fromMs: number, toMs: number, points: number) => {
      const record = openTestRecord(dir, { readOnly: true });
      const series = record.series({ station: 'shed', quantities: ['inputPowerW'], fromMs, toMs, points });
      record.close();
      return series;
    };
    const young = ask(YOUNG, YOUNG + 14 * HOUR_MS, 10_000);
    const day = ask(at(0, 0), at(2, 0), 1440);
    expect(ask(at(0, 8), at(0, 9), 600).stepMs).toBe(6000);
    const minutes = ask(at(0, 8), at(0, 9), 60);
    letGo(dir);
    expect(ask(at(0, 8), at(0, 9), 600)).toEqual(minutes);
    expect(ask(at(0, 8) + 5 * MINUTE_MS, at(0, 8) + 6 * MINUTE_MS, 600)).toMatchObject({ stepMs: MINUTE_MS, count: 1 });
    // Also where no minute begins in what is asked, but one goes on in it.
    const [within, value] = [at(0, 8) + 5 * MINUTE_MS + 20_000, minutes.columns.inputPowerW!.mean[5]];
    expect(ask(within, within + 30_000, 600)).toMatchObject({
      startMs: at(0, 8) + 5 * MINUTE_MS,
      stepMs: MINUTE_MS,
      columns: { inputPowerW: { mean: [value] } },
    });
    expect(ask(at(0, 0), at(2, 0), 1440)).toEqual(day);
    expect(ask(YOUNG, YOUNG + 14 * HOUR_MS, 10_000)).toEqual(young);
    // Where nothing was recorded a gap stays a gap, at any width.
    expect(ask(at(0, 11), at(0, 12), 600)).toMatchObject({
      stepMs: 6000,
      columns: { inputPowerW: { max: Array(600).fill(null) } },
    });
  });

  test('evidence is told and drawn as it was read', () => {
    const dir = wholeFolder();
    const record = openTestRecord(dir);
    const span = { station: 'shed', why: 'trial 1', fromMs: at(0, 9), toMs: at(0, 10), droppedAt: null };
    record.commit(batch([], { evidence: [span] }));
    record.close();
    letGo(dir);
    const kept = openTestRecord(dir);
    expect([...kept.readings('shed', at(0, 9), at(0, 10))]).toEqual(hourOfReadings(0, 9));
    const told = [...kept.readings('shed', at(0, 8), at(0, 11))];
    expect(told.map(r => r.meanOverMs ?? 0)).toEqual([
      ...Array(60).fill(MINUTE_MS),
      ...Array(360).fill(0),
      ...Array(60).fill(MINUTE_MS),
    ]);
    const asked = { station: 'shed', quantities: ['inputPowerW' as const], points: 600 };
    expect(kept.series({ ...asked, fromMs: at(0, 9), toMs: at(0, 10) }).stepMs).toBe(6000);
    expect(kept.series({ ...asked, fromMs: at(0, 8), toMs: at(0, 10) }).stepMs).toBe(MINUTE_MS);
  });
});

describe('older readings', () => {
  const older = (fromMs: number, count: number) =>
    Array.from({ length: count }, (_, i) =>
      reading(i + 1, { inputPowerW: 100 }, { session: 'old', at: fromMs + i * 10_000 }),
    );
  const minutesIn = (dir: string) => {
    const record = openTestRecord(dir, { readOnly: true });
    const { columns } = record.series({
      station: 'shed',
      quantities: ['inputPowerW'],
      fromMs: at(0, 8),
      toMs: at(0, 14),
      points: 360,
    });
    record.close();
    return columns.inputPowerW!.mean;
  };

  test('in an hour of which only minutes are left join those, and hide none of them', () => {
    const dir = wholeFolder();
    letGo(dir);
    const before = minutesIn(dir);
    const record = openTestRecord(dir, { nowMs: () => LATER });
    record.insertOlder({
      station: 'shed',
      readings: [...older(at(0, 11), 360), ...older(at(0, 11) + HOUR_MS, 360).map((r, i) => ({ ...r, seq: 361 + i }))],
      days: [],
      spans: [],
      outages: [],
      gap: { fromMs: at(0, 11) - 10_000, toMs: at(0, 13) },
    });
    record.close();
    const after = minutesIn(dir);
    expect(after.slice(0, 180)).toEqual(before.slice(0, 180));
    expect(after.slice(180, 300)).toEqual(Array(120).fill(100));
    expect(after.slice(300)).toEqual(before.slice(300));
    letGo(dir);
    expect(minutesIn(dir)).toEqual(after);
  });

  test('beside minutes of the same hour are rolled up only, so that the next question is still by the minute', () => {
    const dir = letGoFolder();
    const record = openTestRecord(dir, { nowMs: () => LATER });
    const extra = older(at(0, 8) + 5000, 3);
    record.insertOlder({ station: 'shed', readings: extra, days: [], spans: [], outages: [], gap: null });
    expect(rawBefore(dir, YOUNG)).toBe(0);
    const told = [...record.readings('shed', at(0, 8), at(0, 9))];
    expect(told).toHaveLength(60);
    const first = [...hourOfReadings(0, 8).slice(0, 6), ...extra]
      .filter(r => r.quality !== 'bad')
      .flatMap(r => r.quantities.inputPowerW ?? []);
    expect(told[0]!.quantities.inputPowerW).toBeCloseTo(first.reduce((a, b) => a + b) / first.length, 1);
  });

  test('are told from recorded ones by the minutes that are left', () => {
    const record = openTestRecord(letGoFolder());
    const ends = (fromMs: number, toMs: number) =>
      [...record.instants('shed', fromMs, toMs)].map(instants => [instants[0], instants.at(-1)]);
    const dayOfMinutes = (day: number) => [at(day, 8), at(day, 14) - 1];
    // Up to the first one after it.
    expect(ends(at(0, 9), at(0, 10)).slice(0, 2)).toEqual([dayOfMinutes(0), dayOfMinutes(1)]);
    const [day] = [...record.instants('shed', at(0, 9), at(0, 10))];
    const gaps = Array.from(day!.slice(1), (instant, i) => instant - day![i]!).filter(ms => ms > MINUTE_MS);
    expect(gaps).toEqual([2 * HOUR_MS + 1]);
    // From the last one before it.
    expect(ends(at(5, 0), at(6, 0)).slice(-2)).toEqual([
      dayOfMinutes(1),
      [YOUNG + 8 * HOUR_MS, YOUNG + 9 * HOUR_MS - 10_000],
    ]);
  });
});

describe('what is kept of it', () => {
  test('a snapshot is proven and restored: minutes, seals and what was let go with it', () => {
    const dir = letGoFolder();
    const file = join(freshFolder(), '..', `copy-${process.pid}-${Date.now()}.db`);
    const db = openDatabase(join(dir, 'record.db'), { readonly: true });
    const manifest = makeSnapshot(db, file, { atMs: LATER, program: '1' });
    db.close();
    expect(manifest.stations[0]).toMatchObject({ readings: 4 * 360, letGo: 8 * 360 });
    const other = wholeFolder();
    expect(planRestore(other, file).present!.stations[0]).toMatchObject({ readings: 12 * 360, letGo: 0 });
    restoreSnapshot(other, file, { atMs: LATER, program: '1' });
    const record = openTestRecord(other);
    expect(record.checkSeals()).toEqual([]);
    expect([...record.readings('shed', 0, YOUNG)]).toHaveLength(8 * 60);
  });

  test('a batch offered again is known by its sessions, though its readings are gone', () => {
    const dir = letGoFolder();
    const record = openTestRecord(dir);
    const days = record.days('shed', '', '9');
    record.commit(batch(hourOfReadings(0, 8)));
    expect(record.days('shed', '', '9')).toEqual(days);
    expect(rawBefore(dir, YOUNG)).toBe(0);
  });
});
