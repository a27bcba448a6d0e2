import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { createEngines } from '../../agent/commands/run/foresight/engines.ts';
import {
  aheadOf,
  DAY_OVER_AT,
  FACTS,
  openForesight,
  recordOfADay,
  type TestForesight,
  toldAt,
} from '../support/foresight-stage.ts';
import { handClock } from '../support/hand-clock.ts';
import { isAlive, until } from '../support/reading-desk.ts';
import { SECOND_MS, watchedStation } from '../support/watched-station.ts';

const MINUTE_MS = 60_000;
const ASKED = {
  untilAt: DAY_OVER_AT + 20 * 60 * MINUTE_MS,
  skies: [],
  sourceW: { generator: null, vehicle: null, wall: null },
};
const asJson = (value: unknown) => JSON.parse(JSON.stringify(value));

describe('looking ahead in a process of its own', () => {
  test('says what the same engines say in this one, whatever settings, questions and stations come and go', async () => {
    const { dir, record } = recordOfADay();
    const hand = handClock(DAY_OVER_AT);
    const { foresight, said } = openForesight(dir, hand);
    const here = createEngines();
    const both = { ...FACTS, ratedWh: 2000 };
    for (const id of ['shed', 'barn']) {
      foresight.seat(id, FACTS);
      here.seat(id, FACTS, record, hand.now());
    }
    for (let minute = 0; minute < 60; minute++) {
      foresight.add('shed', toldAt(minute));
      here.add('shed', toldAt(minute));
      if (minute === 30) for (const one of [foresight, here]) one.setFacts('shed', { ...FACTS, floorPct: 20 });
      if (minute % 20 !== 0) continue;
      const atMs = toldAt(minute).at;
      expect(await aheadOf(foresight, 'shed', atMs)).toEqual(asJson(here.ahead('shed', atMs)));
    }
    const atMs = DAY_OVER_AT + 60 * MINUTE_MS;
    const order = { station: 'shed', asked: ASKED, atMs, silent: false, other: { id: 'barn', name: 'Barn' } };
    const outlast = await foresight.outlast(order);
    expect(outlast).toEqual(asJson(await here.outlast(order, () => Promise.resolve())));
    expect(outlast.together?.name).toBe('Barn');
    expect(await foresight.planKnown('shed', atMs)).toEqual(asJson(here.planKnown('shed', atMs)));
    let learned = '';
    foresight.learned('shed', json => {
      learned = json;
    });
    await foresight.settled(SECOND_MS);
    expect(JSON.parse(learned)).toEqual(asJson(here.learned('shed')));
    for (const one of [foresight, here]) one.setFacts('shed', both);
    expect(await aheadOf(foresight, 'shed', atMs)).toEqual(asJson(here.ahead('shed', atMs)));
    expect(said).toEqual([]);
    record.close();
  });

  test('drops what is told too late of a station that left, also where it comes back', async () => {
    const { dir, record } = recordOfADay();
    const { foresight } = openForesight(dir, handClock(DAY_OVER_AT));
    foresight.seat('shed', FACTS);
    const heard: string[] = [];
    foresight.ahead('shed', DAY_OVER_AT, () => void heard.push('before'));
    foresight.leave('shed');
    foresight.seat('shed', FACTS);
    for (const name of ['first', 'second']) foresight.ahead('shed', DAY_OVER_AT, () => void heard.push(name));
    foresight.ahead('nowhere', DAY_OVER_AT, () => void heard.push('nowhere'));
    await foresight.settled(SECOND_MS);
    expect(heard).toEqual(['first', 'second']);
    record.close();
  });

  const killed = async ({ foresight }: TestForesight) => {
    const pid = foresight.pid!;
    process.kill(pid, 'SIGKILL');
    await until(() => foresight.pid !== pid);
    return pid;
  };

  test('kill -9 costs the answers under way; it starts again with the past of the record and the newest reading', async () => {
    const { dir, record } = recordOfADay();
    const hand = handClock(DAY_OVER_AT);
    const at = openForesight(dir, hand);
    const { foresight, said } = at;
    foresight.seat('shed', FACTS);
    foresight.add('shed', toldAt(0));
    await aheadOf(foresight, 'shed', DAY_OVER_AT);
    process.kill(foresight.pid!, 'SIGSTOP');
    const order = { station: 'shed', asked: ASKED, atMs: DAY_OVER_AT, silent: false, other: null };
    const broken = foresight.outlast(order);
    const refused = expect(broken).rejects.toMatchObject({ code: 'READING_ENDED', fix: expect.any(String) });
    await killed(at);
    await refused;
    expect(foresight.pid).toBeUndefined();
    await expect(foresight.outlast(order)).rejects.toMatchObject({ code: 'READING_ENDED' });
    hand.advance(SECOND_MS);
    const here = createEngines();
    here.seat('shed', FACTS, record, hand.now());
    here.add('shed', toldAt(0));
    expect(await aheadOf(foresight, 'shed', hand.now())).toEqual(asJson(here.ahead('shed', hand.now())));
    expect(said).toMatchObject([
      { text: 'the process that looks ahead ended', why: expect.stringContaining('SIGKILL'), againInMs: 750 },
    ]);
    record.close();
  });

  test('is closed once its process is gone, though it hangs', async () => {
    const { dir, record } = recordOfADay();
    const { foresight } = openForesight(dir, handClock(DAY_OVER_AT));
    foresight.seat('shed', FACTS);
    await aheadOf(foresight, 'shed', DAY_OVER_AT);
    const pid = foresight.pid!;
    process.kill(pid, 'SIGSTOP');
    await foresight.close();
    expect(isAlive(pid)).toBe(false);
    record.close();
    expect(existsSync(join(dir, 'record.db-wal'))).toBe(false);
  });

  test('one that ends again and again is started ever more seldom, never less than once a minute', async () => {
    const { dir, record } = recordOfADay();
    const hand = handClock(DAY_OVER_AT);
    const at = openForesight(dir, hand);
    for (let time = 0; time < 8; time++) {
      expect(at.foresight.trouble()).toBe(time < 3 ? null : 'it was ended by SIGKILL');
      await killed(at);
      hand.advance(at.said.at(-1)!.againInMs!);
      expect(at.foresight.pid).toBeDefined();
    }
    expect(at.said.map(({ againInMs }) => againInMs! / SECOND_MS)).toEqual([0.75, 2, 5, 15, 30, 60, 60, 60]);
    hand.advance(6 * MINUTE_MS);
    expect(at.foresight.trouble()).not.toBeNull();
    hand.advance(3 * MINUTE_MS);
    expect(at.foresight.trouble()).toBeNull();
    record.close();
  });

  test('one that hangs is ended after half a minute without a word, and one that nobody asks is not', async () => {
    const { dir, record } = recordOfADay();
    const hand = handClock(DAY_OVER_AT);
    const { foresight, said } = openForesight(dir, hand);
    foresight.seat('shed', FACTS);
    await aheadOf(foresight, 'shed', DAY_OVER_AT);
    const pid = foresight.pid!;
    process.kill(pid, 'SIGSTOP');
    hand.advance(10 * MINUTE_MS);
    expect(foresight.pid).toBe(pid);
    foresight.ahead('shed', hand.now(), () => undefined);
    hand.advance(30 * SECOND_MS);
    expect(said).toMatchObject([{ why: 'it said nothing for 30 s' }]);
    await until(() => !isAlive(pid));
    hand.advance(SECOND_MS);
    expect((await aheadOf(foresight, 'shed', hand.now())).madeAt).toBe(hand.now());
    record.close();
  });

  test('a record that cannot be read is looked ahead of without its past, and said', async () => {
    const { foresight, said } = openForesight('/nowhere', handClock(DAY_OVER_AT));
    foresight.seat('shed', FACTS);
    expect(await aheadOf(foresight, 'shed', DAY_OVER_AT)).toMatchObject({ toward: 'none' });
    expect(said).toMatchObject([{ text: 'looking ahead met a fault', why: expect.stringContaining('/nowhere') }]);
  });
});

describe('a watch whose process that looks ahead is away', () => {
  /** A station of a reading a second, and whoever looks ahead of it. */
  function stage() {
    let at: TestForesight | undefined;
    const station = watchedStation(10 * SECOND_MS, (dir, hand) => {
      at = openForesight(dir, hand);
      return at.foresight;
    });
    const { foresight } = at!;
    const projections = () => station.published.filter(({ message }) => message.type === 'projection');
    return {
      ...station,
      foresight,
      count: () => projections().length,
      newest: () => projections().at(-1)!.message,
      /** Lives on, each answer waited for. */
      async minutes(count: number) {
        for (let step = 0; step < 6 * count; step++) {
          station.live(10);
          await foresight.settled(10 * MINUTE_MS);
        }
      },
    };
  }
  /** By the label, as long as nothing was learned. */
  const TOLD = { projection: { why: 'noHistory', byLabel: { p10: expect.any(String) } } };

  test('reads and saves on, takes the promise of a silent station back at once, and tells again what is ahead', async () => {
    const at = stage();
    at.phase('live');
    await at.minutes(2);
    expect(at.newest()).toMatchObject(TOLD);
    const pid = at.foresight.pid!;
    process.kill(pid, 'SIGSTOP');
    const before = at.count();
    at.live(25);
    expect(at.count()).toBe(before);
    at.phase('waiting');
    expect(at.newest()).toMatchObject({ projection: { why: 'stale', byLabel: null } });
    at.phase('live');
    const saved = at.reader.latest('shed')!.at;
    at.live(35);
    expect(at.reader.latest('shed')!.at).toBeGreaterThanOrEqual(saved + 30 * SECOND_MS);
    await until(() => !isAlive(pid));
    expect(at.foresight.pid).toBeDefined();
    await at.minutes(1);
    expect(at.newest()).toMatchObject(TOLD);
    await at.watch.close();
    expect(at.foresight.pid).toBeUndefined();
    expect(JSON.parse(at.reader.learned('shed')!)).toMatchObject({ memory: { ratedWh: 1000 } });
  });

  test('promises nothing from an answer of five minutes ago', async () => {
    const at = stage();
    at.phase('live');
    await at.minutes(2);
    process.kill(at.foresight.pid!, 'SIGSTOP');
    at.live(310);
    expect(at.newest()).toMatchObject({ projection: { why: 'stale', byLabel: null } });
    await at.watch.close();
  });

  test('ends within two seconds where nobody answers, and keeps what was learned before', async () => {
    const at = stage();
    await at.minutes(11);
    const before = JSON.parse(at.reader.learned('shed')!);
    process.kill(at.foresight.pid!, 'SIGSTOP');
    at.live(5);
    const closed = at.watch.close();
    await new Promise(resolve => setTimeout(resolve, 50));
    at.hand.advance(2 * SECOND_MS);
    await closed;
    expect(JSON.parse(at.reader.learned('shed')!)).toEqual({ ...before, at: expect.any(Number) });
  });
});
