/** Files of readings and the Ledger from a real agent, whose reading process is killed and whose clients are slow. */
import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, statSync } from 'node:fs';
import { connect, type Socket } from 'node:net';
import { join } from 'node:path';
import { gunzipSync } from 'node:zlib';
import { asyncBufferFromFile, parquetMetadataAsync, parquetReadObjects } from 'hyparquet';
import * as v from 'valibot';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { LedgerAnswer } from '#messages';
import { openRecord } from '../../agent/store/open.ts';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { isAlive, seconds, until } from '../support/reading-desk.ts';
import { batch, START_AT } from '../support/record.ts';

const SETTINGS =
  '[record]\ncommitIntervalS = 1\nkeepRawDays = 0\n[[station]]\nid = "shed"\nname = "Honey shed"\nzone = "UTC"\ntransport = { kind = "typed" }\n';
/** More than the system holds for the two ends of a connection, as CSV. */
const ROWS = 400_000;
const WAL_MAX_BYTES = 64 * 2 ** 20;

let at: Folders;
let agent: AgentProcess;

beforeAll(async () => {
  at = freshFolders(SETTINGS);
  const dir = join(at.data, 'record');
  mkdirSync(at.data, { recursive: true, mode: 0o700 });
  const record = openRecord(dir, { nowMs: () => START_AT, commitIntervalMs: 0 });
  for (let from = 1; from <= ROWS; from += 3600) record.commit(batch(seconds(from, Math.min(3600, ROWS + 1 - from))));
  record.close();
  agent = await startAgentProcess(at);
}, 240_000);

afterAll(async () => {
  await agent?.end('SIGKILL');
  at?.remove();
});

const PATH = 'api/stations/shed/recording.csv';
const verb = (...args: string[]) =>
  spawnSync(process.execPath, [built('program/main.js'), ...args, '--data', at.data], {
    encoding: 'utf8',
    maxBuffer: 1e9,
  });

/** The process that reads for this agent; undefined where none runs. */
function readingPid(): number | undefined {
  const told = spawnSync('pgrep', ['-P', String(agent.child.pid), '-f', 'read-child'], { encoding: 'utf8' });
  return told.stdout.trim() === '' ? undefined : Number(told.stdout.trim().split('\n')[0]);
}

function ask(path: string): Promise<Socket> {
  const { hostname, port, host } = new URL(agent.url);
  return new Promise(resolve => {
    const socket = connect(Number(port), hostname, () => {
      socket.write(`GET /${path} HTTP/1.1\r\nHost: ${host}\r\n\r\n`);
      resolve(socket);
    });
    socket.on('error', () => undefined);
  });
}

const saved = async () => (await agent.api<{ saved: { lastSavedAt: string } }>('api/health')).saved.lastSavedAt;

describe('the readings of a running agent', () => {
  it('come as one file, while slow clients and one that vanishes take theirs, and saving goes on', async () => {
    const slow = await Promise.all(Array.from({ length: 3 }, () => ask(PATH)));
    for (const socket of slow) socket.pause();
    const gone = await ask(PATH);
    gone.once('data', () => gone.destroy());
    await until(() => readingPid() !== undefined);
    const before = await saved();
    await agent.post('api/stations/shed/typed', { inputPowerW: 0, outputPowerW: 20, stateOfChargePct: 50 });
    expect(await saved()).not.toBe(before);
    const whole = await (await fetch(new URL(`${PATH}?to=${START_AT + 10_000_000}`, agent.url))).text();
    expect(whole.trimEnd().split('\r\n')).toHaveLength(10_000);
    for (const socket of slow) socket.destroy();
    expect(statSync(join(at.data, 'record', 'record.db-wal')).size).toBeLessThan(WAL_MAX_BYTES);
  });

  it('break off visibly where their process is killed, and the next ask is whole', async () => {
    const answer = await fetch(new URL(PATH, agent.url));
    const reader = answer.body!.getReader();
    await reader.read();
    const pid = readingPid()!;
    process.kill(pid, 'SIGKILL');
    const drain = async () => {
      while (!(await reader.read()).done);
    };
    await expect(drain()).rejects.toThrow();
    await until(() => agent.complaints().includes('the process that reads the record ended'));
    const again = await (await fetch(new URL(`${PATH}?to=${START_AT + 5_000_000}`, agent.url))).text();
    expect(again.trimEnd().split('\r\n')).toHaveLength(5_000);
    expect(readingPid()).not.toBe(pid);
    expect(agent.child.exitCode).toBeNull();
  });

  it('are read by the Ledger in the same process, once for days that are over', async () => {
    const ask = (headers = {}) =>
      fetch(new URL('api/stations/shed/ledger?from=2026-06-01&to=2026-06-30', agent.url), { headers });
    const answer = await ask();
    expect(answer.headers.get('content-type')).toBe('application/json; charset=utf-8');
    const text = await answer.text();
    expect(v.parse(LedgerAnswer, JSON.parse(text))).toMatchObject({ station: 'shed', zone: 'UTC' });
    const tag = answer.headers.get('etag')!;
    const kept = join(at.data, 'record', 'ledger', `${JSON.parse(tag)}.kept`);
    expect(readFileSync(kept).subarray(32).toString()).toBe(text);
    expect(await (await ask()).text()).toBe(text);
    expect((await ask({ 'if-none-match': tag })).status).toBe(304);
  });

  it('are exported beside it as Parquet, CSV and gzip, each under its name once it is whole', async () => {
    const to = ['--to', new Date(START_AT + 100_500_000).toISOString(), '--zone', 'UTC'];
    const names = ['shed.parquet', 'shed.csv', 'shed.csv.gz'].map(name => join(at.dir, name));
    for (const name of names) {
      const { status, stdout, stderr } = verb('export', name, ...to);
      expect([status, stderr, stdout]).toEqual([0, '', expect.stringContaining(`${name} holds the readings`)]);
      expect(existsSync(`${name}.partial`)).toBe(false);
    }
    const [parquet, csv, gz] = names as [string, string, string];
    const text = readFileSync(csv, 'utf8');
    // Whole files would fill the report.
    expect([gunzipSync(readFileSync(gz)).toString() === text, verb('export', ...to).stdout === text]).toEqual([
      true,
      true,
    ]);
    const file = await asyncBufferFromFile(parquet);
    const about = await parquetMetadataAsync(file);
    expect([Number(about.num_rows), about.row_groups.length]).toEqual([100_499, 3]);
    const rows = await parquetReadObjects({
      file,
      rowStart: 100_000,
      compressors: { GZIP: bytes => gunzipSync(bytes) },
    });
    const lines = text.trimEnd().split('\r\n').slice(100_001);
    expect(rows.map(row => `${row.inputPowerW},${row.outputPowerW},${row.stateOfChargePct}`)).toEqual(
      lines.map(line => line.slice(line.indexOf(',') + 1)),
    );
    const twice = verb('export', csv);
    expect([twice.status, twice.stderr]).toEqual([2, expect.stringContaining('is there already')]);
    expect(verb('export', join(at.dir, 'shed.txt')).stderr).toContain('Let its name end in .csv, .csv.gz, .parquet');
  });

  it('leave no process behind where the agent is killed in the middle of a file', async () => {
    const slow = await ask(PATH);
    slow.pause();
    await until(() => readingPid() !== undefined);
    const pid = readingPid()!;
    await agent.end('SIGKILL');
    slow.destroy();
    await until(() => !isAlive(pid));
  });
});
