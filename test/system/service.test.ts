/** The agent as systemd would run it, on a socket that stands in for systemd's; and the verb, on folders of its own. */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { once } from 'node:events';
import { closeSync, existsSync, mkdirSync, openSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { connect } from 'node:net';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { afterEach, describe, expect, it } from 'vitest';
import { WebSocket } from 'ws';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { hasProgram, needs } from '../support/needs.ts';
import { until } from '../support/real-time.ts';

const PRINTS = `const say = () => console.log(JSON.stringify({ inputPowerW: Math.round(Date.now() / 100) % 90, stateOfChargePct: 50 }));
say(); setInterval(say, 200);`;
const settingsOf = (program: string) => `[record]
commitIntervalS = 1
[[station]]
id = "shed"
name = "Honey shed"
ratedWh = 1000
transport = { kind = "process", command = ${JSON.stringify([process.execPath, program])} }
`;
const made: Folders[] = [];
const running: AgentProcess[] = [];
const listening: ChildProcess[] = [];

function folders(): Folders {
  const at = freshFolders();
  made.push(at);
  return at;
}

afterEach(async () => {
  await Promise.all(running.splice(0).map(agent => agent.end('SIGKILL')));
  for (const child of listening.splice(0)) child.kill('SIGKILL');
  for (const at of made.splice(0)) at.remove();
});

/** A socket that hears what systemd would hear. */
async function listen(at: Folders): Promise<{ socket: string; heard(word: RegExp): number }> {
  const socket = join(at.dir, 'notify');
  const child = spawn('socat', ['-u', `UNIX-RECV:${socket}`, 'STDOUT'], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  listening.push(child);
  let text = '';
  child.stdout.on('data', (chunk: Buffer) => {
    text += chunk.toString();
  });
  await until(() => existsSync(socket));
  return { socket, heard: word => text.match(new RegExp(word, 'g'))?.length ?? 0 };
}

/** On an agent that was started under the socket; what it starts must not know of it. */
async function startUnder(at: Folders, socket: string, watchdogUs: number): Promise<AgentProcess> {
  const names = { NOTIFY_SOCKET: socket, WATCHDOG_USEC: String(watchdogUs) };
  Object.assign(process.env, names);
  try {
    const agent = await startAgentProcess(at);
    running.push(agent);
    return agent;
  } finally {
    for (const name of Object.keys(names)) delete process.env[name];
  }
}

const needsSocket = hasProgram('socat') ? needs('systemd-notify', 'systemd') : needs('socat');

describe('under systemd', () => {
  needsSocket(
    'it says when it is ready, is at work as long as commits come to their end, and when it stops',
    async () => {
      const at = folders();
      const program = join(at.dir, 'station.mjs');
      writeFileSync(program, PRINTS);
      writeFileSync(at.settings, settingsOf(program));
      const { socket, heard } = await listen(at);
      // Fed every five seconds: socat lets whoever speaks wait for as long, where systemd answers at once.
      const agent = await startUnder(at, socket, 20_000_000);
      await until(() => heard(/READY=1/) === 1 && heard(/WATCHDOG=1/) > 1);

      // The record refuses each reading: commits fail, and the process is as alive as before.
      const record = join(at.data, 'record', 'record.db');
      const other = new Database(record, { timeout: 20_000 });
      other.exec(`CREATE TRIGGER refuse BEFORE INSERT ON tail BEGIN SELECT RAISE(ABORT, 'refused by a test'); END`);
      await until(() => heard(/STATUS=Nothing is being saved \(INTERNAL\)/) === 1);
      const fed = heard(/WATCHDOG=1/);
      // Longer than from one word to the next, and then a server that still answers.
      await new Promise(resolve => setTimeout(resolve, 7_000));
      expect((await agent.api<{ uptimeMs: number }>('api/health')).uptimeMs).toBeGreaterThan(0);
      expect(heard(/WATCHDOG=1/)).toBe(fed);
      other.exec('DROP TRIGGER refuse');
      other.close();
      await until(() => heard(/WATCHDOG=1/) > fed);

      expect(await agent.end('SIGTERM')).toBe(0);
      await until(() => heard(/STOPPING=1/) === 1);
      expect(existsSync(`${record}-wal`)).toBe(false);
    },
    180_000,
  );
});

describe('what is not read at once', () => {
  it('never holds a link or a code: where it runs without a terminal they are asked for', async () => {
    const at = folders();
    writeFileSync(at.settings, '[[station]]\nid = "shed"\nname = "Shed"\ntransport = { kind = "typed" }\n');
    const journal = join(at.dir, 'journal');
    const out = openSync(journal, 'w');
    const args = [built('program/main.js'), '--port', '0', '--data', at.data, '--settings', at.settings];
    const child = spawn(process.execPath, args, { stdio: ['ignore', out, out] });
    listening.push(child);
    const ended = once(child, 'exit');
    closeSync(out);
    await until(() => readFileSync(journal, 'utf8').includes('http://127.0.0.1:'));
    const { status, stdout } = spawnSync(process.execPath, [args[0]!, 'pair', '--here', '--data', at.data], {
      encoding: 'utf8',
    });
    expect([status, stdout]).toEqual([0, expect.stringContaining('/pair#')]);
    child.kill('SIGTERM');
    expect((await ended)[0]).toBe(0);
    expect(readFileSync(journal, 'utf8')).not.toContain('pair#');
  });
});

describe('SIGTERM', () => {
  it('saves and ends with 0 though a browser looks and another sends only half of a question', async () => {
    const at = folders();
    writeFileSync(at.settings, '[[station]]\nid = "shed"\nname = "Shed"\ntransport = { kind = "typed" }\n');
    const agent = await startAgentProcess(at);
    running.push(agent);
    const { port, host } = new URL(agent.url);
    const half = connect(Number(port), '127.0.0.1');
    const live = new WebSocket(`ws://${host}/live`);
    half.on('error', () => undefined);
    half.write(`GET /api/health HTTP/1.1\r\nHost: ${host}\r\n`);
    live.on('error', () => undefined);
    await until(() => half.readyState === 'open' && live.readyState !== WebSocket.CONNECTING);
    expect(await agent.end('SIGTERM')).toBe(0);
    half.destroy();
    expect(existsSync(join(at.data, 'record', 'record.db-wal'))).toBe(false);
  });
});

describe.runIf(process.platform === 'linux')('wattkeep service', () => {
  const verb = (at: Folders, ...args: string[]) => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [built('program/main.js'), 'service', ...args], {
      encoding: 'utf8',
      timeout: 60_000,
      env: { PATH: '/nowhere', HOME: at.dir },
    });
    return { status, stdout, stderr };
  };
  const unitOf = (at: Folders) => join(at.dir, '.config/systemd/user/wattkeep.service');

  it('writes its file once, shows it, tells what to run, and removes exactly that', () => {
    const at = folders();
    const first = verb(at, 'install', '--data', at.data);
    expect(first).toMatchObject({ status: 0, stderr: '' });
    expect(first.stdout).toContain(unitOf(at));
    expect(first.stdout).toContain('loginctl enable-linger');
    const unit = readFileSync(unitOf(at), 'utf8');
    expect(verb(at, 'install', '--data', at.data, '--print').stdout).toBe(unit);
    expect(verb(at, 'install', '--data', at.data).stdout).toContain('as it should be');
    const told = JSON.parse(verb(at, 'show', '--json').stdout) as { command: string[] };
    expect(told).toMatchObject({ installed: true, seal: 'own', enabled: false, bluetooth: false });
    expect(told.command).toEqual(expect.arrayContaining([built('program/main.js'), at.data]));
    expect(verb(at, 'remove')).toMatchObject({ status: 0, stderr: '' });
    expect(existsSync(unitOf(at))).toBe(false);
    expect(verb(at, 'remove')).toMatchObject({ status: 0, stdout: 'No service is installed.\n' });
  });

  it('leaves a file that it did not write, or that was changed since, as it is', () => {
    const at = folders();
    mkdirSync(dirname(unitOf(at)), { recursive: true });
    writeFileSync(unitOf(at), '[Service]\nExecStart=/bin/true\n');
    for (const act of ['remove', 'install']) {
      const refused = verb(at, act);
      expect(refused.status).toBe(1);
      expect(refused.stderr).toContain('was not written by wattkeep');
    }
    expect(readFileSync(unitOf(at), 'utf8')).toBe('[Service]\nExecStart=/bin/true\n');
    rmSync(unitOf(at));
    verb(at, 'install');
    const edited = readFileSync(unitOf(at), 'utf8').replace('RestartSec=5', 'RestartSec=50');
    writeFileSync(unitOf(at), edited);
    expect(verb(at, 'remove').stderr).toContain('was changed since');
    expect(readFileSync(unitOf(at), 'utf8')).toBe(edited);
  });

  it('does not remove one that is still started with the account, but says how', () => {
    const at = folders();
    verb(at, 'install');
    const wants = join(dirname(unitOf(at)), 'default.target.wants');
    mkdirSync(wants);
    symlinkSync(unitOf(at), join(wants, 'wattkeep.service'));
    const refused = verb(at, 'remove');
    expect(refused.status).toBe(1);
    expect(refused.stderr).toContain('systemctl --user disable --now wattkeep.service');
    expect(existsSync(unitOf(at))).toBe(true);
  });

  it('is looked at by doctor: none, not started with the account, another program', () => {
    const at = folders();
    const doctor = (name: string) => {
      const { stdout } = spawnSync(
        process.execPath,
        [built('program/main.js'), 'doctor', '--json', '--data', at.data],
        {
          encoding: 'utf8',
          env: { PATH: process.env.PATH, HOME: at.dir },
        },
      );
      const { findings } = JSON.parse(stdout) as { findings: { what: string; state: string; says: string }[] };
      return findings.find(({ what }) => what === name)!;
    };
    expect(doctor('service')).toMatchObject({
      state: 'note',
      says: expect.stringContaining('wattkeep service install'),
    });
    expect(doctor('sharing').says).toContain('no agent is running');
    verb(at, 'install');
    expect(doctor('service').says).toContain('does not start with your account');
    const unit = readFileSync(unitOf(at), 'utf8');
    // As an earlier version wrote it, sealed by it.
    const [earlier] = unit.replace(' --max-lazy', '').split('# written by');
    const digest = createHash('sha256').update(earlier!).digest('hex');
    const seal = unit.slice(unit.indexOf('# written by')).replace(/[0-9a-f]{64}/, digest);
    writeFileSync(unitOf(at), `${earlier}${seal}`);
    expect(doctor('service')).toMatchObject({ state: 'note', says: expect.stringContaining('another version') });
    writeFileSync(unitOf(at), unit.replace(built('program/main.js'), '/gone/main.js'));
    expect(doctor('service')).toMatchObject({
      state: 'wrong',
      says: expect.stringContaining('/gone/main.js, which is gone'),
    });
  }, 120_000);
});
