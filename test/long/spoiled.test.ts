/** Files, folders and disks that are not as they should be, as the owner meets them by the commands: never a stack trace. */
import { spawnSync } from 'node:child_process';
import { openSync, readdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { needsDevFull } from '../support/dev-full.ts';
import { needs } from '../support/needs.ts';
import { needsRoot, smallDisk } from '../support/needs-root.ts';

const TYPED =
  '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\nzone = "UTC"\ntransport = { kind = "typed" }\n[record]\ncommitIntervalS = 1\n';
const HEADER = 'time,inputPowerW,outputPowerW,stateOfChargePct\r\n';
/** Each command is a process of its own. */
const MANY_PROCESSES_MS = 240_000;
const made: Folders[] = [];
const running: AgentProcess[] = [];
afterEach(async () => {
  await Promise.all(running.splice(0).map(agent => agent.end('SIGKILL')));
  for (const at of made.splice(0)) at.remove();
});

function fresh(): Folders {
  const at = freshFolders(TYPED);
  made.push(at);
  return at;
}

/** A row every ten seconds from the first of June on. */
function csvOf(at: Folders, rows: number): string {
  const file = join(at.dir, 'past.csv');
  const row = (_: unknown, i: number) =>
    `${new Date(Date.UTC(2026, 5, 1) + i * 10_000).toISOString()},${(i * 7919) % 400},${(i * 31) % 90},${i % 101}\r\n`;
  writeFileSync(file, HEADER + Array.from({ length: rows }, row).join(''));
  return file;
}

interface Ended {
  status: number | null;
  stdout: string;
  stderr: string;
}

function command(at: Folders, args: readonly string[], { stdout = 'pipe', launcher = [] as string[] } = {}): Ended {
  const [program, ...rest] = [...launcher, process.execPath, built('program/main.js'), ...args, '--data', at.data];
  const out = stdout === 'pipe' ? 'pipe' : openSync(stdout, 'w');
  const ended = spawnSync(program!, rest, { encoding: 'utf8', timeout: 60_000, stdio: ['ignore', out, 'pipe'] });
  expect(ended.stderr).not.toMatch(/^\s+at /m);
  return ended;
}

const importInto = (at: Folders, file: string) => command(at, ['import', file, '--write', '--settings', at.settings]);

function withPast(rows = 360): Folders {
  const at = fresh();
  expect(importInto(at, csvOf(at, rows)).status).toBe(0);
  return at;
}

describe('what is written', () => {
  needsDevFull(
    'to standard output on a full disk ends in one sentence',
    () => {
      const at = withPast();
      for (const args of [['export'], ['ledger', '--csv'], ['doctor']]) {
        const { status, stderr } = command(at, args, { stdout: '/dev/full' });
        expect([args[0], status, stderr]).toEqual([args[0], 7, expect.stringMatching(/disk is full.*\[DISK_FULL\]/s)]);
      }
    },
    MANY_PROCESSES_MS,
  );

  needsRoot(
    'to a file on a full disk says so and leaves nothing behind',
    () => {
      const at = withPast(20_000);
      const disk = smallDisk('64k');
      const told = command(at, ['export', join(disk.dir, 'shed.csv')]);
      expect([told.status, told.stderr]).toEqual([7, expect.stringContaining('[DISK_FULL]')]);
      expect(readdirSync(disk.dir)).toEqual([]);
    },
    MANY_PROCESSES_MS,
  );

  it(
    'where there is no such folder, or in a zone that nobody knows, is refused with what to do',
    () => {
      const at = withPast();
      for (const args of [
        ['export', join(at.dir, 'none', 'shed.csv')],
        ['export', join(at.settings, 'shed.csv')],
        ['snapshot', join(at.dir, 'none', 'copy.db')],
        ['snapshot', join(at.settings, 'copy.db')],
        ['snapshot', join(at.dir, 'x'.repeat(300))],
      ]) {
        const { status, stderr } = command(at, args);
        expect([args, status, stderr]).toEqual([args, 2, expect.stringContaining('[USAGE]')]);
        expect(stderr).not.toContain('fault in wattkeep');
      }
      for (const args of [
        ['export', '--zone', 'Yard/Hives'],
        ['export', join(at.dir, 'a.csv'), '--zone', 'Yard/Hives'],
      ])
        expect(command(at, args)).toMatchObject({
          status: 2,
          stderr: expect.stringMatching(/Yard\/Hives.*\[USAGE\]/s),
        });
    },
    MANY_PROCESSES_MS,
  );
});

describe('an import', () => {
  it(
    'says why a file cannot be read',
    () => {
      const at = fresh();
      const [whole, cut] = [csvOf(at, 10), join(at.dir, 'cut.csv.gz')];
      writeFileSync(cut, Buffer.from('1f8b0800000000000003', 'hex'));
      const reason = (file: string) => importInto(at, file).stderr;
      expect(reason(join(at.dir, 'none.csv'))).toMatch(/none\.csv cannot be read.*no such file/s);
      expect(reason(at.dir)).toMatch(/cannot be read.*directory/s);
      expect(reason(cut)).toMatch(/cannot be read.*end of file/s);
      expect(importInto(at, whole).status).toBe(0);
    },
    MANY_PROCESSES_MS,
  );

  needsRoot(
    'that fills the disk says how much was saved, and with room takes the rest once',
    () => {
      const disk = smallDisk('400k');
      const at = { ...fresh(), data: join(disk.dir, 'data') };
      const file = csvOf(at, 65_000);
      const full = importInto(at, file);
      expect([full.status, full.stderr]).toEqual([
        7,
        expect.stringMatching(/\d+ readings? (was|were) saved.*again.*\[DISK_FULL\]/s),
      ]);
      disk.grow('32m');
      const saved = Number(/(\d+) readings? (?:was|were) saved/.exec(full.stderr)![1]);
      expect(importInto(at, file).stdout).toContain(`${65_000 - saved} readings saved`);
    },
    MANY_PROCESSES_MS,
  );
});

describe('a restore', () => {
  it(
    'says plainly what is wrong with the file it is given',
    () => {
      const at = withPast();
      const file = join(at.dir, 'copy.db');
      expect(command(at, ['snapshot', file]).status).toBe(0);
      const manifest = readFileSync(`${file}.json`, 'utf8');
      const told = (text: string) => {
        writeFileSync(`${file}.json`, text);
        return command(at, ['restore', file, '--write']);
      };
      const refused = { status: 6, stderr: expect.stringContaining('[SNAPSHOT_UNPROVEN]') };
      for (const stations of ['[null]', '[7]', '[[]]', '[{"name":null}]'])
        expect(told(JSON.stringify({ ...JSON.parse(manifest), stations: JSON.parse(stations) }))).toMatchObject(
          refused,
        );
      expect(told(manifest.replace(/"madeAt": "[^"]*"/, '"madeAt": "\\u001b[31mnow"'))).toMatchObject(refused);
      // A file that rotted is not mended by a start of the agent.
      writeFileSync(`${file}.json`, manifest);
      const bytes = readFileSync(file);
      bytes[9000]! ^= 1;
      writeFileSync(file, bytes);
      const rotten = command(at, ['restore', file]);
      expect([rotten.status, rotten.stderr]).toEqual([6, expect.stringMatching(/Name another snapshot/)]);
      expect(rotten.stderr).not.toContain('Start the agent');
      expect(command(at, ['restore', join(at.dir, 'none.db')])).toMatchObject({
        status: 2,
        stderr: expect.stringMatching(/none\.db is not there/),
      });
      expect(command(at, ['restore', at.dir])).toMatchObject({ status: 2, stderr: expect.stringContaining('[USAGE]') });
    },
    MANY_PROCESSES_MS,
  );
});

describe('a folder', () => {
  it(
    'that lies behind a link to nothing, or is a file, is told as what it is',
    () => {
      const at = fresh();
      for (const data of [join(at.settings, 'data')]) {
        const { status, stderr } = importInto({ ...at, data }, csvOf(at, 10));
        expect([status, stderr]).toEqual([2, expect.stringContaining('[USAGE]')]);
      }
    },
    MANY_PROCESSES_MS,
  );

  needs('setpriv')(
    'that may not be entered is not said to be empty',
    () => {
      const at = withPast();
      const nobody = ['setpriv', '--reuid', '65534', '--regid', '65534', '--clear-groups'];
      const launcher = process.getuid?.() === 0 ? nobody : [];
      for (const args of [['export'], ['snapshot', '/tmp/wattkeep-none.db'], ['doctor']]) {
        const { stdout, stderr } = command({ ...at }, args, { launcher });
        expect(`${stdout}${stderr}`).toMatch(/may not be used by this user/);
      }
    },
    MANY_PROCESSES_MS,
  );

  const typing = async () => {
    const at = fresh();
    const agent = await startAgentProcess(at);
    running.push(agent);
    const type = (outputPowerW: number) =>
      agent.post('api/stations/shed/typed', { inputPowerW: 0, outputPowerW, stateOfChargePct: 50 });
    const trouble = async () => (await agent.api<{ saved: { trouble: string | null } }>('api/health')).saved.trouble;
    await type(10);
    return { at, agent, type, trouble, away: `${at.data}-away` };
  };

  it(
    'that is taken away under a running agent is said, live goes on, and what was held is saved once it is back',
    async () => {
      const { at, agent, type, trouble, away } = await typing();
      renameSync(at.data, away);
      await type(20);
      await expect.poll(trouble).toBe('DISK_READ_ONLY');
      await expect.poll(agent.complaints).toContain('no longer the file that was opened');
      // Two rounds of what the record does for itself come and go.
      await new Promise(resolve => setTimeout(resolve, 21_000));
      const now = await agent.api<{ reading: { quantities: object } }>('api/stations/shed/now');
      expect(now.reading.quantities).toMatchObject({ outputPowerW: 20 });
      renameSync(away, at.data);
      await expect.poll(trouble).toBeNull();
      expect(await agent.end()).toBe(0);
      expect(agent.complaints()).not.toMatch(/^\s+at /m);
      expect(command(at, ['export']).stdout.trim().split('\r\n')).toHaveLength(3);
    },
    MANY_PROCESSES_MS,
  );

  it(
    'that cannot be written to is no end of an agent whose terminal is gone as well',
    async () => {
      const { at, agent, type, trouble, away } = await typing();
      agent.child.stderr!.destroy();
      renameSync(at.data, away);
      await type(20);
      await expect.poll(trouble).toBe('DISK_READ_ONLY');
      renameSync(away, at.data);
      await expect.poll(trouble).toBeNull();
      expect(await agent.end()).toBe(0);
    },
    MANY_PROCESSES_MS,
  );
});
