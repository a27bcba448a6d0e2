import { spawnSync } from 'node:child_process';
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { afterEach, describe, expect } from 'vitest';
import type { WireHealth } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { startChild } from '../support/child.ts';
import { shimIn } from '../support/failing-calls.ts';
import { needs } from '../support/needs.ts';
import { freshFolder, openTestRecord } from '../support/record.ts';

const shimmed = (place: string, slowMs: number) => ({
  LD_PRELOAD: shimIn(place, 'slow-flush'),
  SLOW_NAME: 'record.db',
  SLOW_MS: String(slowMs),
  SLOW_FLUSH: join(place, 'slow'),
  SLOW_TOLD: join(place, 'flushes'),
});

/** A line five times a second, numbered by its watts. */
const STATION = `let n = 0; setInterval(() => console.log(JSON.stringify({ inputPowerW: ++n, outputPowerW: 40, stateOfChargePct: 50 })), 200)`;

let agent: AgentProcess | undefined;
let folders: Folders | undefined;
afterEach(async () => {
  await agent?.end('SIGKILL');
  folders?.remove();
});

async function until<T>(ask: () => Promise<T>, holds: (found: T) => boolean): Promise<T> {
  for (;;) {
    const found = await ask();
    if (holds(found)) return found;
    await new Promise(resolve => setTimeout(resolve, 100));
  }
}

describe('a commit', () => {
  needs('cc')('flushes the log once, and the file itself only when a thousand pages have gathered', async () => {
    const dir = freshFolder();
    const env = shimmed(dirname(dir), 0);
    const child = startChild('test/store/children/writer.ts', [dir, '1'], { env });
    await child.line();
    const flushes = () => readFileSync(env.SLOW_TOLD, 'latin1');
    const before = flushes().length;
    let commits = 0;
    for (; commits < 800; commits++) expect(await child.line()).not.toBeNull();
    await child.kill();
    while ((await child.line()) !== null) commits++;
    const made = flushes().slice(before);
    const writtenBack = made.split('b').length - 1;
    expect(writtenBack).toBeGreaterThan(0);
    expect(writtenBack).toBeLessThan(commits / 150);
    // Upkeep comes with one in five; to write back takes the log and the file, to begin a log its head; one is on its way.
    expect(made.length).toBeLessThanOrEqual(commits + Math.ceil(commits / 5) + 4 * writtenBack + 4);
  });
});

describe('a disk that takes long for each flush', () => {
  needs('cc')(
    'loses nothing and counts nothing twice; it is told to the page and by doctor, until it is quick again',
    async () => {
      folders = freshFolders(
        `[record]\ncommitIntervalS = 1\n[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\nzone = "UTC"\n` +
          `transport = { kind = "process", command = ${JSON.stringify([process.execPath, '-e', STATION])} }\n`,
      );
      const env = shimmed(folders.dir, 1300);
      agent = await startAgentProcess(folders, [], [], env);
      const health = () => agent!.api<WireHealth>('api/health');
      const slow = ({ notes = [] }: WireHealth) => notes.some(note => /^Saving takes \d s .*slow/.test(note));
      expect(slow(await until(health, ({ saved }) => saved.lastSavedAt !== null))).toBe(false);
      writeFileSync(env.SLOW_FLUSH, '');
      await until(health, slow);
      const doctor = spawnSync(process.execPath, [built('program/main.js'), 'doctor', '--data', folders.data], {
        encoding: 'utf8',
      });
      expect(doctor.stdout).toMatch(/Saving takes \d s .*--data/s);
      rmSync(env.SLOW_FLUSH);
      await until(health, now => !slow(now));
      expect(await agent.end()).toBe(0);
      const record = openTestRecord(join(folders.data, 'record'));
      const watts = [...record.readings('shed', 0, 8e15)].map(({ quantities }) => quantities.inputPowerW);
      expect(watts).toEqual(watts.map((_, i) => watts[0]! + i));
      const { fromMs, toMs } = record.extent('shed')!;
      const days = record.days('shed', '', '9');
      expect(days.reduce((sum, { coveredMs }) => sum + coveredMs, 0)).toBe(toMs - fromMs);
      expect(record.check()).toEqual([]);
    },
    120_000,
  );
});
