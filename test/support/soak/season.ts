/**
 * A season of two stations at full speed through the agent's watch, on a clock that moves only as it is told: readings of
 * the plant, loose cables, ends and starts of the agent, sleeps of the computer, clocks that are set, set wrong and led
 * back. What was delivered is counted from the plant's own ledger. Everything is worked out from a seed.
 *
 * Slower than in life, to be over in minutes: a reading every half a minute, a commit every five, a projection every
 * hour and more often only where the end is near, and no timer is finer than a reading.
 */

import { existsSync, mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { AlarmKind, DayTotals, LiveMessage, WireAlarm } from '#messages';
import { foresightHere } from '../../../agent/commands/run/foresight/engines.ts';
import { startWatch, type Watch } from '../../../agent/commands/run/watch.ts';
import { createLog } from '../../../agent/log/log.ts';
import { createSupervisor } from '../../../agent/stations/index.ts';
import { openRecord } from '../../../agent/store/open.ts';
import { handClock } from '../hand-clock.ts';
import { seededRandom } from '../seeded-random.ts';
import { settle } from '../station-stage.ts';
import { type Mishap, mishaps } from './mishaps.ts';
import { createSource, type Delivered, soakManifest, soakRunner } from './source.ts';

const [MINUTE_MS, HOUR_MS, DAY_MS] = [60_000, 3_600_000, 86_400_000];
export const READ_EVERY_MS = 30_000;
const COMMIT_EVERY_MS = 300_000;
/** A promise of hours is not made anew for long; one that ends soon, or has ended, is, as in life. */
const PROJECT_EVERY_MS = { most: HOUR_MS, least: 10 * MINUTE_MS };
const SOON_MS = 45 * MINUTE_MS;
/** Long before the season's end, so that it is seen at work. */
const KEEP_RAW_DAYS = 30;
const ZONE = 'Europe/Berlin';
export const IDS = ['shed', 'barn'] as const;

export interface SeasonOptions {
  startAt: number;
  days: number;
  seed: number;
  checkEveryDays: number;
  /** How often a promise of hours is made anew, ms; each hour where it is not said. */
  projectEveryMs?: number;
  onCheckpoint?(seen: Checkpoint): void;
}

/** Memory and files after so many days. */
export interface Checkpoint {
  day: number;
  rssMB: number;
  heapMB: number;
  /** What JavaScript holds outside its heap. */
  outsideMB: number;
  fileBytes: number;
}

export interface LivedStation {
  delivered: Delivered;
  days: DayTotals[];
  /** Instants of the first and the last reading on record. */
  firstAt: number;
  lastAt: number;
  /** Raw readings of five days whose time was over two days before the end. */
  rawBefore: number;
}

export interface Lived {
  stations: Record<string, LivedStation>;
  checkpoints: Checkpoint[];
  /** How often a station was seen to come down to its floor, and how often the alarm of its end stood by then. */
  floors: { reached: number; warned: number };
  /** How often each kind of alarm called. */
  calls: Record<string, number>;
  happened: Record<string, number>;
  readings: number;
  /** The longest that the write-ahead log ever was. */
  walBytes: number;
  fileBytes: number;
  /** Wattkeep's own complaints, without their times. */
  complaints: string[];
  brokenSeals: number;
  damage: string[];
}

/** A folder in memory where there is one: a commit's flush costs nothing there. */
export function quickFolder(): string {
  return mkdtempSync(join(existsSync('/dev/shm') ? '/dev/shm' : tmpdir(), 'wattkeep-soak-'));
}

/** The computer: its clocks, and the agent that runs on it or does not. */
function computer(dir: string, startAt: number, hand: ReturnType<typeof handClock>) {
  let [wrongMs, slewPpm, bornMs, sleptMs] = [0, 0, 0, 0];
  const trueMs = () => startAt + hand.monoMs();
  return {
    trueMs,
    clock: { nowMs: () => Math.round(trueMs() + wrongMs), monoMs: () => hand.monoMs() - bornMs - sleptMs },
    timers: { after: (delayMs: number, run: () => void) => hand.after(Math.max(READ_EVERY_MS, delayMs), run) },
    boot() {
      bornMs = hand.monoMs();
      sleptMs = 0;
    },
    sleep(forMs: number) {
      hand.skip(forMs);
      sleptMs += forMs;
    },
    step(byMs: number) {
      wrongMs += byMs;
    },
    slew(ppm: number) {
      slewPpm = ppm;
    },
    advance() {
      hand.advance(READ_EVERY_MS);
      wrongMs += (slewPpm * READ_EVERY_MS) / 1e6;
    },
    bytes: (name: string) => statSync(join(dir, name), { throwIfNoEntry: false })?.size ?? 0,
  };
}

export async function liveSeason(options: SeasonOptions): Promise<Lived> {
  const dir = quickFolder();
  try {
    return await liveIn(dir, options);
  } finally {
    rmSync(dir, { recursive: true, force: true });
  }
}

async function liveIn(dir: string, options: SeasonOptions): Promise<Lived> {
  const { startAt, days, seed } = options;
  const hand = handClock(0);
  const pc = computer(dir, startAt, hand);
  const { clock, timers, trueMs } = pc;
  const random = seededRandom(seed);
  const sources = IDS.map((id, i) =>
    createSource({ id, seed: seed + i, zone: ZONE, startAt, readEveryMs: READ_EVERY_MS, trueMs }),
  );
  const told = listen();
  const sourceOf = (id: string) => sources[IDS.indexOf(id as (typeof IDS)[number])]!;
  const calls: Record<string, number> = {};
  const happened: Record<string, number> = {};
  const floors = { reached: 0, warned: 0 };
  const complaints: string[] = [];
  let [ids, readings, walBytes] = [0, 0, 0];
  const log = createLog({
    dir,
    level: 'warn',
    now: clock.nowMs,
    alsoTo: line => void complaints.push(line.slice(line.indexOf(' ')).trim()),
  });

  const start = (): Watch => {
    pc.boot();
    const keepRawDays = () => KEEP_RAW_DAYS;
    const record = openRecord(dir, { nowMs: clock.nowMs, commitIntervalMs: COMMIT_EVERY_MS, keepRawDays });
    return startWatch({
      record,
      foresight: foresightHere(record, clock.nowMs, () => Promise.resolve()),
      demo: false,
      stations: sources.map(({ settings }) => settings),
      tariff: undefined,
      commitIntervalMs: COMMIT_EVERY_MS,
      get projectEveryMs() {
        const { least, most } = PROJECT_EVERY_MS;
        return Math.max(least, Math.min(options.projectEveryMs ?? most, (told.endsAt() - clock.nowMs() - SOON_MS) / 2));
      },
      machineZone: ZONE,
      manifests: () => [soakManifest(READ_EVERY_MS)],
      clock,
      timers,
      log,
      supervise: ({ reading, status }) =>
        createSupervisor({
          clock,
          timers,
          random,
          newSessionId: () => `session ${++ids}`,
          runner: soakRunner(sourceOf),
          onReading: reading,
          onStatus: status,
        }),
      plan: ({ id }) => ({ kind: 'linked', id, adapter: id, openLink: sourceOf(id).openLink, link: id, key: id }),
      publish: told.hear,
      newId: () => `id${++ids}`,
      onAlarms: ({ called }) => {
        for (const { kind } of called) calls[kind] = (calls[kind] ?? 0) + 1;
      },
      onSettled: () => undefined,
      aims: () => false,
      carry: undefined,
    });
  };

  let watch = start();
  await settle();
  const happen = mishaps(random, READ_EVERY_MS);
  const befall = async (mishap: Mishap) => {
    happened[mishap.what] = (happened[mishap.what] ?? 0) + 1;
    if (mishap.what === 'cable') sources[mishap.of]!.loosen(mishap.forMs);
    else if (mishap.what === 'step') pc.step(mishap.byMs);
    else if (mishap.what === 'slew') pc.slew(mishap.ppm);
    else if (mishap.what === 'sleep') {
      pc.sleep(mishap.forMs);
      for (const source of sources) {
        source.live();
        source.slept();
      }
    } else {
      await watch.close();
      hand.advance(mishap.afterMs);
      watch = start();
    }
    await settle();
  };
  const checkpoints: Checkpoint[] = [];
  let checkAtMs = startAt + options.checkEveryDays * DAY_MS;
  while (trueMs() < startAt + days * DAY_MS) {
    pc.advance();
    // A link that is being opened goes on with promises.
    if (!sources.every(source => source.isRead())) await settle();
    for (const source of sources) {
      source.live();
      if (!source.tell()) continue;
      readings++;
      if (!source.reachesFloor()) continue;
      floors.reached++;
      if (told.stands('ending', source.settings.id)) floors.warned++;
    }
    walBytes = Math.max(walBytes, pc.bytes('record.db-wal'));
    const mishap = happen(trueMs());
    if (mishap !== null) await befall(mishap);
    if (trueMs() < checkAtMs) continue;
    const seen = await look((checkAtMs - startAt) / DAY_MS, pc.bytes('record.db'));
    checkpoints.push(seen);
    options.onCheckpoint?.(seen);
    checkAtMs += options.checkEveryDays * DAY_MS;
  }
  await watch.close();
  log.close();
  const judged = judge(dir, sources, clock.nowMs());
  return {
    ...judged,
    checkpoints,
    floors,
    calls,
    happened,
    readings,
    walBytes,
    fileBytes: pc.bytes('record.db'),
    complaints,
  };
}

/** What pages are told: where the nearest end is promised, and which alarms stand. */
function listen() {
  const ends = new Map<string, number>();
  let alarms: readonly WireAlarm[] = [];
  return {
    hear(message: LiveMessage) {
      if (message.type === 'alarms') alarms = message.alarms as WireAlarm[];
      if (message.type !== 'projection') return;
      const { station, why, emptyAt } = message.projection;
      const isNear = why === 'ok' || why === 'atFloor';
      if (isNear && emptyAt !== null) ends.set(station, Date.parse(emptyAt.p10));
      else ends.delete(station);
    },
    endsAt: () => Math.min(...ends.values()),
    stands: (kind: AlarmKind, id: string) =>
      alarms.some(({ kind: k, station, state }) => k === kind && station === id && state !== 'cleared'),
  };
}

/** What the record says of it all, read after its end. */
function judge(dir: string, sources: readonly ReturnType<typeof createSource>[], nowMs: number) {
  const record = openRecord(dir, { nowMs: () => nowMs, commitIntervalMs: COMMIT_EVERY_MS });
  const stations = sources.map(({ settings: { id }, delivered }): [string, LivedStation] => {
    const all = record.days(id, '', '9');
    const first = record.series({
      station: id,
      quantities: ['outputPowerW'],
      fromMs: all[0]!.startMs,
      toMs: all[0]!.endMs,
      points: 1440,
    });
    const firstAt = first.startMs + first.stepMs * first.columns.outputPowerW!.mean.findIndex(mean => mean !== null);
    const rawUntil = nowMs - (KEEP_RAW_DAYS + 2) * DAY_MS;
    let rawBefore = 0;
    // Where raw readings were let go their minutes are told in their place, and say so.
    for (const { meanOverMs } of record.readings(id, rawUntil - 5 * DAY_MS, rawUntil))
      if (meanOverMs === undefined) rawBefore++;
    return [id, { delivered, days: all, firstAt, lastAt: record.latest(id)!.at, rawBefore }];
  });
  const found = { brokenSeals: record.checkSeals().length, damage: record.check() };
  record.close();
  return { stations: Object.fromEntries(stations), ...found };
}

/** Of the machine's own time. */
const HANDED_BACK_MS = 250;

async function look(day: number, fileBytes: number): Promise<Checkpoint> {
  // Twice: what finalizers let go is free after the second. Pages are handed back while nothing is done.
  for (let time = 0; time < 2; time++) {
    globalThis.gc?.();
    await pause(HANDED_BACK_MS);
  }
  const { rss, heapUsed, external } = process.memoryUsage();
  return { day, rssMB: rss / 1e6, heapMB: heapUsed / 1e6, outsideMB: external / 1e6, fileBytes };
}
