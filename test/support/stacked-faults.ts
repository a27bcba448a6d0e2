/** Faults that are stacked upon each other: how each begins, what is told while it lasts, how it ends. */
import { spawn } from 'node:child_process';
import { copyFileSync, existsSync, mkdirSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { expect } from 'vitest';
import { restoreSnapshot } from '../../agent/store/keep/restore.ts';
import { built } from './built.ts';
import { fillUp } from './fill-up.ts';
import { goldenFolder } from './golden-record.ts';
import { faultyDisk, smallDisk } from './needs-root.ts';
import { freshFolder, openTestRecord } from './record.ts';
import { onCable, onRadio, type Source, STATION, type Stage, until } from './stacked-stage.ts';

const HOUR_MS = 3_600_000;

export interface Fault {
  /** What happens, after "while" or "and". */
  says: string;
  /** The disk it needs: one in memory, or one that the kernel can find an error on. */
  disk?: () => { dir: string } | null;
  source?: () => Promise<Source>;
  /** Before the first agent starts, which starts only with the second fault. */
  prepare?(stage: Stage): void;
  begin?(stage: Stage): Promise<void>;
  /** Once the second fault has begun as well. */
  goesOn?(stage: Stage): Promise<void>;
  /** While an agent is up: until it tells of it. */
  told?(stage: Stage): Promise<unknown>;
  end?(stage: Stage): Promise<unknown>;
}

const toldNotSaved = (stage: Stage) => until(stage.health, ({ saved }) => saved.trouble !== null);

/** Calls to the disk of a start, of which one is its last. */
const KILLED_BEFORE = [4, 15, 40];

async function kill(stage: Stage): Promise<void> {
  if (stage.isUp()) await stage.end('SIGKILL');
  else for (const call of KILLED_BEFORE) await stage.startKilled(call);
}

const filler = ({ disk }: Stage) => join(disk, 'filler');

/** Snapshots one after the other beside the agent, and what became of each. */
function snapshots(stage: Stage) {
  let wanted = true;
  const [made, refused]: [string[], string[]] = [[], []];
  async function one(file: string): Promise<void> {
    const words = ['snapshot', file, '--data', stage.at.data];
    const child = spawn(process.execPath, [built('program/main.js'), ...words], {
      stdio: ['ignore', 'ignore', 'pipe'],
    });
    let said = '';
    child.stderr.on('data', piece => {
      said += String(piece);
    });
    const status = await new Promise<number | null>(resolve => child.once('close', resolve));
    if (status === 0) made.push(file);
    else {
      expect(said).toMatch(/\[[A-Z_]+\]/);
      expect(existsSync(`${file}.json`)).toBe(false);
      refused.push(said);
    }
  }
  const all = (async () => {
    for (let n = 1; wanted; n++) await one(join(stage.disk, `snapshot-${n}`));
  })();
  return {
    async end() {
      wanted = false;
      await all;
      await one(join(stage.disk, 'snapshot-last'));
      expect(made.at(-1)).toContain('last');
      for (const file of made) {
        const dir = freshFolder();
        restoreSnapshot(dir, file, { atMs: Date.now(), program: '0.1.0' });
        const record = openTestRecord(dir);
        expect(record.check()).toEqual([]);
        expect([...record.readings(STATION, 0, 8e15)].length).toBeGreaterThan(0);
        record.close();
      }
    },
  };
}

const snapping = new WeakMap<Stage, ReturnType<typeof snapshots>>();
const broken = new Map<string, NonNullable<ReturnType<typeof faultyDisk>>>();

export const FAULTS = {
  killed: { says: 'the agent is killed', begin: kill },
  full: {
    says: 'the disk is full',
    begin: async stage => fillUp(filler(stage)),
    told: toldNotSaved,
    end: async stage => rmSync(filler(stage)),
  },
  readOnly: {
    says: 'the file system has turned read-only',
    disk() {
      const disk = faultyDisk();
      if (disk !== null) broken.set(disk.dir, disk);
      return disk;
    },
    begin: async ({ disk }) => broken.get(disk)!.fault(),
    told: toldNotSaved,
    async end(stage) {
      if (stage.isUp()) expect(await stage.end('SIGTERM')).toBe(0);
      broken.get(stage.disk)!.repair();
    },
  },
  noFlush: {
    says: 'no flush succeeds',
    begin: async stage => stage.failFlushes(true),
    told: toldNotSaved,
    end: async stage => stage.failFlushes(false),
  },
  upgrade: {
    says: 'a record of the oldest schema is brought up',
    prepare(stage) {
      mkdirSync(stage.record, { mode: 0o700 });
      copyFileSync(join(goldenFolder(1), 'record.db'), join(stage.record, 'record.db'));
    },
  },
  snapshot: {
    says: 'snapshots are made',
    begin: async stage => void snapping.set(stage, snapshots(stage)),
    goesOn: () => pause(500),
    end: stage => snapping.get(stage)!.end(),
  },
  clock: {
    says: 'the clock is an hour behind',
    begin: async stage => stage.clock(-HOUR_MS, 0),
    told: stage => until(stage.health, health => health.clock !== 'synced'),
    end: async stage => stage.clock(0, 0),
  },
  asleep: {
    says: 'the computer sleeps for seven hours',
    begin: async stage => stage.sleep(),
    async goesOn(stage) {
      stage.clock(7 * HOUR_MS, 7 * HOUR_MS);
      stage.wake();
    },
    end: ({ told }) =>
      until(
        () => Date.parse(told.at(-1)!.at) - Date.parse(told[0]!.at),
        spanMs => spanMs > 6 * HOUR_MS,
      ),
  },
  unplugged: {
    says: 'the cable is pulled',
    begin: async ({ source }) => source.lose(),
    told: stage => until(stage.now, ({ status }) => status.phase === 'retrying'),
    end: async ({ source }) => source.back(),
  },
  dropping: {
    says: 'the radio link drops again and again',
    source: onRadio,
    begin: async ({ source }) => source.lose(),
    goesOn: () => pause(1500),
    end: async ({ source }) => source.back(),
  },
  adapter: {
    says: 'the process of the adapters dies',
    async begin(stage) {
      await stage.start();
      if (stage.isUp()) stage.killAdapters();
    },
  },
} satisfies Record<string, Fault>;

export const diskOf = (first: Fault): { dir: string } | null => (first.disk ?? (() => smallDisk('24m')))();
export const sourceOf = (second: Fault): Promise<Source> => (second.source ?? onCable)();
