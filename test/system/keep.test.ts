/** Snapshots, restores and rescues by the commands their owner types, beside real agents. */
import { spawnSync } from 'node:child_process';
import { copyFileSync, existsSync, readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { flipBit, PAGE, rootOf } from '../support/damage.ts';

const TYPED =
  '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\nzone = "UTC"\ntransport = { kind = "typed" }\n';
const running: AgentProcess[] = [];
const made: Folders[] = [];

/** Folders with a settings file and twenty days of readings, one every five minutes. */
function withPast(fromMs = Date.UTC(2026, 5, 1)): Folders & { record: string } {
  const at = freshFolders(TYPED);
  made.push(at);
  const csv = join(at.dir, 'past.csv');
  const rows = Array.from(
    { length: 20 * 288 },
    (_, i) => `${new Date(fromMs + i * 300_000).toISOString()},${(i * 7919) % 400},${(i * 31) % 90},${i % 101}\r\n`,
  );
  writeFileSync(csv, `time,inputPowerW,outputPowerW,stateOfChargePct\r\n${rows.join('')}`);
  expect(command(at, ['import', csv, '--write', '--settings', at.settings]).stdout).toContain('5760 readings saved');
  return { ...at, record: join(at.data, 'record', 'record.db') };
}

function command(at: Folders, args: readonly string[]): { status: number | null; stdout: string; stderr: string } {
  const program = [built('program/main.js'), ...args, '--data', at.data];
  return spawnSync(process.execPath, program, { encoding: 'utf8', timeout: 60_000 });
}

const start = async (at: Folders) => {
  const agent = await startAgentProcess(at);
  running.push(agent);
  return agent;
};

interface Days {
  days: { date: string; inputWh: number }[];
}
const allDays = (agent: AgentProcess) => agent.api<Days>('api/stations/shed/days?from=2000-01-01&to=2100-01-01');

afterEach(async () => {
  await Promise.all(running.splice(0).map(agent => agent.end('SIGKILL')));
  for (const at of made.splice(0)) at.remove();
});

/** Each command is a process of its own. */
const MANY_PROCESSES_MS = 240_000;

describe('a snapshot', () => {
  it(
    'is made beside a running agent, and restored once that one is stopped',
    async () => {
      const at = withPast();
      const file = join(at.dir, 'copy.db');
      const agent = await start(at);
      const told = command(at, ['snapshot', file, '--json']);
      expect([told.status, told.stderr]).toEqual([0, '']);
      expect(JSON.parse(told.stdout)).toMatchObject({ file, stations: [{ name: 'shed', readings: 5_760 }] });
      expect(statSync(`${file}.json`).mode & 0o777).toBe(0o600);
      const twice = command(at, ['snapshot', file]);
      expect([twice.status, twice.stderr]).toEqual([2, expect.stringContaining('is there already')]);

      await agent.post('api/stations/shed/typed', { inputPowerW: 0, outputPowerW: 20, stateOfChargePct: 50 });
      const refused = command(at, ['restore', file, '--write']);
      expect([refused.status, refused.stderr]).toEqual([4, expect.stringContaining(String(agent.child.pid))]);
      const dry = command(at, ['restore', file]);
      expect(dry.stdout).toMatch(
        /is whole and holds:\n {2}shed: 5760 readings.*It would replace:\n {2}shed: 5761 readings/s,
      );
      expect(dry.stdout).toContain('The snapshot does not hold:\n  shed: what was read after 2026-06-20T23:55:00.000Z');
      expect(dry.stdout).toContain('Nothing was changed');
      expect(await agent.end()).toBe(0);

      const written = command(at, ['restore', file, '--write', '--json']);
      const { kept } = JSON.parse(written.stdout) as { kept: string };
      expect([written.status, existsSync(kept), existsSync(`${kept}.json`)]).toEqual([0, true, true]);
      expect(command(at, ['export']).stdout.trim().split('\r\n')).toHaveLength(5_761);
    },
    MANY_PROCESSES_MS,
  );

  it(
    'that is a plain copy, damaged, or newer is refused in words, with its own status',
    () => {
      const at = withPast();
      const [file, copy] = [join(at.dir, 'copy.db'), join(at.dir, 'plain.db')];
      expect(command(at, ['snapshot', file]).status).toBe(0);
      copyFileSync(at.record, copy);
      const plain = command(at, ['restore', copy]);
      expect([plain.status, plain.stderr]).toEqual([6, expect.stringMatching(/no manifest.*\[SNAPSHOT_UNPROVEN\]/s)]);
      const manifest = readFileSync(`${file}.json`, 'utf8');
      writeFileSync(`${file}.json`, manifest.replace(/"schema": \d+/, '"schema": 99'));
      expect(command(at, ['restore', file]).status).toBe(9);
      writeFileSync(`${file}.json`, manifest);
      const bytes = readFileSync(file);
      bytes[9000]! ^= 1;
      writeFileSync(file, bytes);
      expect(command(at, ['restore', file]).status).toBe(6);
      expect(command(freshHome(), ['snapshot', join(at.dir, 'none.db')]).stderr).toContain('holds no record of yours');
    },
    MANY_PROCESSES_MS,
  );
});

function freshHome(): Folders {
  const at = freshFolders(TYPED);
  made.push(at);
  return at;
}

describe('a damaged record', () => {
  it(
    'is told by doctor, and rescued by the next start, which goes on and says so',
    async () => {
      const at = withPast();
      const bytes = readFileSync(at.record);
      const page = Math.floor(bytes.length / PAGE / 2);
      bytes.fill(0xa5, page * PAGE, (page + 1) * PAGE);
      writeFileSync(at.record, bytes);
      const doctor = command(at, ['doctor', '--settings', at.settings]);
      expect([doctor.status, doctor.stdout]).toEqual([1, expect.stringMatching(/^wrong +record/m)]);

      const agent = await start(at);
      const { saved } = await agent.api<{ saved: { trouble: string | null; notes: string[] } }>('api/health');
      expect(saved.trouble).toBeNull();
      const [note] = saved.notes.filter(text => text.startsWith('The record was damaged.'));
      const readings = Number(/: (\d+) readings/.exec(note!)![1]);
      expect(readings).toBeGreaterThanOrEqual(5_760 * 0.99);
      const [keptAs] = readdirSync(join(at.data, 'record')).filter(name => name.startsWith('damaged-'));
      expect(note).toContain(keptAs);
      expect(readFileSync(join(at.data, 'record', keptAs!)).equals(bytes)).toBe(true);
      await agent.post('api/stations/shed/typed', { inputPowerW: 0, outputPowerW: 20, stateOfChargePct: 50 });
      expect((await allDays(agent)).days.length).toBeGreaterThanOrEqual(20);
      expect(agent.complaints()).toContain('The record was damaged.');
    },
    MANY_PROCESSES_MS,
  );

  it(
    'that only its last reading tells of is rescued by the start that meets it',
    async () => {
      const at = withPast();
      flipBit(join(at.data, 'record'), 'tail');
      const agent = await start(at);
      expect(agent.complaints()).toContain('The record was damaged.');
      await agent.post('api/stations/shed/typed', { inputPowerW: 0, outputPowerW: 20, stateOfChargePct: 50 });
      expect((await allDays(agent)).days.length).toBeGreaterThanOrEqual(20);
    },
    MANY_PROCESSES_MS,
  );

  it(
    'that shows once the day behind is read keeps nothing from being read and saved, is told, and rescued by the next start',
    async () => {
      const at = withPast(Date.now() - 20 * 86_400_000);
      flipBit(join(at.data, 'record'), 'rb');
      const agent = await start(at);
      await agent.post('api/stations/shed/typed', { inputPowerW: 0, outputPowerW: 20, stateOfChargePct: 50 });
      const { saved } = await agent.api<{ saved: { trouble: string | null; notes: string[] } }>('api/health');
      expect(saved).toMatchObject({ trouble: null, notes: [expect.stringMatching(/^The record is damaged\./)] });
      expect(await agent.end()).toBe(0);
      const again = await start(at);
      expect(again.complaints()).toContain('The record was damaged.');
      const now = await again.api<{ saved: { notes: string[] } }>('api/health');
      expect(now.saved.notes).toEqual([expect.stringMatching(/: 5761 readings/)]);
    },
    MANY_PROCESSES_MS,
  );

  it(
    'whose days are lost counts them anew from the readings',
    async () => {
      const at = withPast();
      const before = await start(at);
      const { days } = await allDays(before);
      await before.end();
      const bytes = readFileSync(at.record);
      const page = rootOf(join(at.data, 'record'), 'day');
      bytes.fill(0xa5, (page - 1) * PAGE, page * PAGE);
      writeFileSync(at.record, bytes);
      const again = (await allDays(await start(at))).days;
      expect(again.map(day => day.date)).toEqual(days.map(day => day.date));
      // A day counted by itself ends at its last reading: five minutes before midnight.
      for (const [i, day] of again.entries()) expect(Math.abs(day.inputWh - days[i]!.inputWh)).toBeLessThan(40);
    },
    MANY_PROCESSES_MS,
  );
});
