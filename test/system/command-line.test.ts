/** The agent as a command: how it starts, refuses and ends, with its exit statuses. Real processes, real folders. */
import { spawnSync } from 'node:child_process';
import { existsSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { createServer } from 'node:net';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import type { LedgerAnswer } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';

const running: AgentProcess[] = [];
const made: Folders[] = [];
const folders = (toml = '') => {
  const fresh = freshFolders(toml);
  made.push(fresh);
  return fresh;
};
const start = async (at: Folders, args: readonly string[] = []) => {
  const agent = await startAgentProcess(at, args);
  running.push(agent);
  return agent;
};
/** Runs to its end. */
const command = (at: Folders, args: readonly string[]) => {
  const where = ['--data', at.data, '--settings', at.settings];
  const { status, stdout, stderr } = spawnSync(process.execPath, [built('program/main.js'), ...args, ...where], {
    encoding: 'utf8',
    timeout: 30_000,
  });
  return { status, stdout, stderr };
};
const TYPED = '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\ntransport = { kind = "typed" }\n';

afterEach(async () => {
  await Promise.all(running.splice(0).map(agent => agent.end('SIGKILL')));
  for (const at of made.splice(0)) at.remove();
});

describe('the command line', () => {
  it('prints its address, saves on SIGTERM and ends with 0', async () => {
    const at = folders(TYPED);
    const agent = await start(at);
    expect(agent.url).toMatch(/^http:\/\/127\.0\.0\.1:\d+\/$/);
    expect(await agent.end('SIGTERM')).toBe(0);
    expect(existsSync(join(at.data, 'record', 'record.db-wal'))).toBe(false);
  });

  it('refuses a zone that nobody knows with 3, naming the line', () => {
    const refused = command(folders(`${TYPED}zone = "Mars/Base"\n`), ['--port', '0']);
    expect(refused.status).toBe(3);
    expect(refused.stderr).toContain('line 6: station 1, zone is "Mars/Base"');
  });

  it('compiles the hot code of a verb also where npm start spares the agent that', () => {
    const flags = ['--no-opt', '--max-lazy', '--trace-opt'];
    const aim = ['aim', '--at', '46.05,7.1', '--time', '2026-06-21T10:00:00+02:00', '--tilt', '35'];
    const { status, stdout } = spawnSync(process.execPath, [...flags, built('program/main.js'), ...aim], {
      encoding: 'utf8',
      timeout: 30_000,
    });
    expect(status).toBe(0);
    expect(stdout).toContain('completed optimizing');
  });

  it('keeps its folder to the owner alone', async () => {
    const at = folders(TYPED);
    await start(at);
    expect(statSync(at.data).mode & 0o777).toBe(0o700);
    expect(statSync(join(at.data, 'record', 'record.db')).mode & 0o777).toBe(0o600);
  });

  it('refuses a second agent on the same record with 4, naming the first, and leaves that one alone', async () => {
    const at = folders(TYPED);
    const first = await start(at);
    const second = command(at, ['--port', '0']);
    expect(second.status).toBe(4);
    expect(second.stderr).toContain(String(first.child.pid));
    expect((await first.api<{ stations: unknown[] }>('api/stations')).stations).toHaveLength(1);
  });

  it('refuses a taken port with 5 and says how to choose another', async () => {
    const server = createServer().listen(0, '127.0.0.1');
    await new Promise(resolve => server.once('listening', resolve));
    const { port } = server.address() as { port: number };
    const refused = command(folders(TYPED), ['--port', String(port)]);
    server.close();
    expect(refused.status).toBe(5);
    expect(refused.stderr).toContain('--port 0');
  });

  it.each([
    ['[[station]\n', /line 1/],
    ['[display]\ntemprature = "C"\n', /line 2.*temperature/s],
    [TYPED.replace('1000', '-5'), /line 4/],
    [
      TYPED.replace('kind = "typed"', 'kind = "tcp", host = "127.0.0.1", port = 9').concat('adapter = "linse"\n'),
      /lines/,
    ],
  ])('refuses settings it cannot follow with 3 and the place: %j', (toml, says) => {
    const refused = command(folders(toml), ['--port', '0']);
    expect(refused.stderr).toMatch(says);
    expect(refused.status).toBe(3);
  });

  it('refuses an unknown option with 2 and the nearest known one', () => {
    const refused = command(folders(), ['--prot', '0']);
    expect(refused.status).toBe(2);
    expect(refused.stderr).toContain('--port');
  });

  it('tells its version and its help', () => {
    const { version } = JSON.parse(readFileSync('package.json', 'utf8')) as { version: string };
    expect(command(folders(), ['--version']).stdout.trim()).toBe(version);
    expect(command(folders(), ['--help']).stdout).toContain('--no-demo');
  });

  it('ends at once on a second signal, or with all saved where it was quick enough', async () => {
    const at = folders(TYPED);
    const agent = await start(at);
    const ended = agent.end('SIGINT');
    agent.child.kill('SIGINT');
    expect([0, 130]).toContain(await ended);
  });
});

describe('the demo', () => {
  it('opens with three weeks of past, marked simulated, and ends with the first real station', async () => {
    const at = folders();
    const agent = await start(at);
    const { stations } = await agent.api<{ stations: { id: string; simulated: boolean }[] }>('api/stations');
    expect(stations.map(s => s.simulated)).toEqual([true]);
    const { days } = await agent.api<{ days: { solarWh: number; coveragePct: number }[] }>(
      `api/stations/${stations[0]!.id}/days?from=2000-01-01&to=2100-01-01`,
    );
    expect(days.length).toBeGreaterThanOrEqual(21);
    expect(days.slice(1, -1).every(d => d.coveragePct > 99)).toBe(true);
    expect(days.some(d => d.solarWh > 100)).toBe(true);
    const ledger = await agent.api<LedgerAnswer>(
      `api/stations/${stations[0]!.id}/ledger?from=2000-01-01&to=2100-01-01`,
    );
    expect(ledger.money).toMatchObject({ currency: 'EUR', paid: 900 });
    expect(ledger.days.every(({ solarWh, worth }) => (solarWh > 0 ? worth! > 0 : worth === 0))).toBe(true);

    const settings = await agent.api<{ station: unknown[] }>('api/settings');
    settings.station.push({ id: 'mine', name: 'Mine', ratedWh: 500, transport: { kind: 'typed' } });
    const put = await agent.change('PUT', 'api/settings', settings);
    expect(put.status).toBe(200);
    const after = await agent.api<{ stations: { id: string; simulated: boolean }[] }>('api/stations');
    expect(after.stations).toMatchObject([{ id: 'mine', simulated: false }]);
    const none = await agent.api<{ days: unknown[] }>('api/stations/mine/days?from=2000-01-01&to=2100-01-01');
    expect(none.days).toEqual([]);
    expect(readFileSync(at.settings, 'utf8')).toContain('mine');
  });

  it('does not come with --no-demo', async () => {
    const agent = await start(folders(), ['--no-demo']);
    expect(await agent.api('api/stations')).toEqual({ stations: [] });
  });
});

describe('a station without a cable', () => {
  it('takes three typed numbers, marks them, and feeds the projection', async () => {
    const agent = await start(folders(TYPED));
    const type = (stateOfChargePct: number) =>
      agent.change('POST', 'api/stations/shed/typed', { inputPowerW: 0, outputPowerW: 120, stateOfChargePct });
    expect((await type(64)).status).toBe(200);
    const now = await agent.api<{ reading: { typed?: boolean; quantities: object } }>('api/stations/shed/now');
    expect(now.reading.typed).toBe(true);
    expect(now.reading.quantities).toMatchObject({ outputPowerW: 120, stateOfChargePct: 64 });
    const toward = async () =>
      (await agent.api<{ projection: { toward: string } | null }>('api/stations/shed/projection')).projection?.toward;
    // The process that looks ahead may still be starting.
    await expect.poll(toward, { timeout: 50_000 }).toBe('empty');
  });
});

describe('a recording', () => {
  const CSV =
    'time,inputPowerW,outputPowerW,stateOfChargePct,solarPowerW\r\n' +
    Array.from(
      { length: 61 },
      (_, m) => `${new Date(Date.UTC(2026, 5, 1, 10, m)).toISOString()},100,50,60,100\r\n`,
    ).join('');

  it('is read without changing anything, then imported, told by the ledger and exported again', () => {
    const at = folders(`${TYPED}zone = "UTC"\n`);
    const file = join(at.dir, 'june.csv');
    writeFileSync(file, CSV);
    const dry = command(at, ['import', file]);
    expect(dry.stdout).toContain('61 rows');
    expect(existsSync(join(at.data, 'record'))).toBe(false);
    expect(command(at, ['import', file, '--write']).status).toBe(0);
    const data = ['--data', at.data];
    const run = (args: string[]) =>
      spawnSync(process.execPath, [built('program/main.js'), ...args, ...data], { encoding: 'utf8' });
    const ledger = JSON.parse(run(['ledger', '--json', '--settings', at.settings]).stdout) as {
      days: { date: string; solarWh: number }[];
      missing: { date: string }[];
    };
    // A day that has only begun is not missing yet.
    expect(ledger.missing.map(({ date }) => date < new Date().toISOString().slice(0, 10))).not.toContain(false);
    expect(ledger.days).toMatchObject([{ date: '2026-06-01', solarWh: 100, outputWh: 50 }]);
    expect(run(['ledger', '--csv']).stdout.split('\r\n')).toHaveLength(3);
    const months = JSON.parse(run(['ledger', '--by', 'month', '--json', '--settings', at.settings]).stdout);
    expect(months.periods[0]).toMatchObject({ from: '2026-06-01', to: '2026-06-30', recordedDays: 1, solarWh: 100 });
    expect(run(['ledger', '--by', 'week']).status).toBe(2);
    const turned = run(['ledger', '--from', '2026-06-02', '--to', '2026-06-01']);
    expect([turned.status, turned.stderr]).toEqual([2, expect.stringContaining('--from 2026-06-02 is later')]);
    expect(run(['ledger', '--from', '2026-02-30']).stderr).toContain('--from 2026-02-30 is not a date.');
    // Imported before anything was told about panels: no yields, and none guessed.
    expect(ledger.days[0]).toMatchObject({ clearSkyWh: null, finalYieldKwhPerKw: null, performanceRatio: null });
    writeFileSync(
      at.settings,
      `${TYPED}zone = "UTC"\nplace = { latitudeDeg = 46, longitudeDeg = 7 }\n` +
        'panel = [{ name = "Folding", ratedW = 100, count = 3, tiltDeg = 0 }]\n',
    );
    const told = JSON.parse(run(['ledger', '--json', '--settings', at.settings]).stdout) as typeof ledger;
    expect(told.days).toMatchObject([{ finalYieldKwhPerKw: 1 / 3, referenceFrom: 'clear sky' }]);
    const again = run(['export', '--zone', 'UTC']).stdout;
    expect(again.split('\r\n')).toHaveLength(63);
    expect(again).toContain('2026-06-01T10:59:00+00:00,100,50,60,100');
  });

  it('counts once when it is imported twice, and rows older than the record join it', () => {
    const at = folders(`${TYPED}zone = "UTC"\n`);
    const file = join(at.dir, 'june.csv');
    writeFileSync(file, CSV);
    expect(command(at, ['import', file, '--write']).stdout).toContain('61 readings saved');
    const twice = command(at, ['import', file, '--write']);
    expect([twice.status, twice.stdout]).toEqual([
      0,
      'Nothing new for Honey shed.\nLeft out: 61 rows where readings are recorded already.\n',
    ]);
    writeFileSync(file, CSV.replaceAll('2026-06-01T', '2026-05-31T'));
    expect(command(at, ['import', file]).stdout).toMatch(
      /61 of them lie before the record or in its gaps, 0 after its end\.\n1 day would change, by:\n.*\n2026-05-31 +100 +100 +50 +1\.0\n/,
    );
    expect(command(at, ['import', file, '--write']).stdout).toContain('61 readings saved for Honey shed, 2026-05-31');
    const { stdout } = command(at, ['ledger', '--json']);
    expect((JSON.parse(stdout) as { days: object[] }).days).toMatchObject([
      { date: '2026-05-31', solarWh: 100, outputWh: 50 },
      { date: '2026-06-01', solarWh: 100, outputWh: 50 },
    ]);
  });
});

describe("the README's commands", () => {
  it('print the ledger and the readings as plain CSV, with nothing of anyone else before it', () => {
    const at = folders(TYPED);
    const file = join(at.dir, 'june.csv');
    writeFileSync(file, 'time,inputPowerW,outputPowerW,stateOfChargePct\r\n2026-06-01T10:00:00Z,0,50,60\r\n');
    expect(command(at, ['import', file, '--write']).status).toBe(0);
    const lines = readFileSync('README.md', 'utf8').match(/^.*\b(?:ledger|export)\b.* > \S+\.csv/gm) ?? [];
    expect(lines).toHaveLength(2);
    for (const line of lines) {
      const { stdout } = spawnSync('sh', ['-c', line.replace(/>.*$/, '')], {
        encoding: 'utf8',
        env: { ...process.env, WATTKEEP_DATA: at.data },
      });
      expect(stdout.split('\r\n')[0]).toMatch(/^(date,zone,solarWh|time,inputPowerW,outputPowerW)/);
    }
  });
});

describe('kill -9 of the whole agent', () => {
  it('leaves no process of its own behind', async () => {
    const at = folders();
    const agent = await start(at);
    const tree = spawnSync('pgrep', ['-P', String(agent.child.pid)], { encoding: 'utf8' })
      .stdout.split('\n')
      .filter(Boolean);
    expect(tree.length).toBeGreaterThanOrEqual(2);
    await agent.end('SIGKILL');
    const alive = () =>
      tree.filter(
        pid =>
          spawnSync('ps', ['-o', 'stat=', '-p', pid], { encoding: 'utf8' }).stdout.trim() !== '' &&
          !spawnSync('ps', ['-o', 'stat=', '-p', pid], { encoding: 'utf8' }).stdout.startsWith('Z'),
      );
    for (let tries = 0; tries < 60 && alive().length > 0; tries++)
      await new Promise(resolve => setTimeout(resolve, 100));
    expect(alive()).toEqual([]);
  });
});
