import { spawn, spawnSync } from 'node:child_process';
import { once } from 'node:events';
import { connect } from 'node:net';
import { createInterface } from 'node:readline';
import * as v from 'valibot';
import { describe, expect, it, onTestFinished } from 'vitest';
import { quantityRow } from '#kit/quantities';
import { StationSettings } from '#messages';
import { RUN, type Simulator, startSimulator } from '../support/simulator.ts';

const run = (...args: string[]) => spawnSync(process.execPath, [RUN, ...args], { encoding: 'utf8' });

const started = (...args: string[]): Simulator => {
  const simulator = startSimulator(args);
  onTestFinished(() => simulator.stop());
  return simulator;
};

const alive = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'ESRCH') return false;
    throw cause;
  }
};

const gone = async (pid: number) => {
  while (alive(pid)) await new Promise(resolve => setTimeout(resolve, 20));
};

describe('the simulator on standard output', () => {
  it('speaks one JSON object a line, of known quantities within their ranges and the station’s states', async () => {
    const child = spawn(process.execPath, [RUN, '--start-pct', '60', '--interval-ms', '50'], {
      stdio: ['ignore', 'pipe', 'inherit'],
    });
    let count = 0;
    for await (const line of createInterface({ input: child.stdout })) {
      const { states, ...quantities } = JSON.parse(line) as Record<string, unknown> & { states: object };
      expect(Object.keys(states)).toEqual(['acOutletsOn', 'dcOutletsOn', 'onMains', 'inputLimitedBy', 'inputSource']);
      for (const [key, value] of Object.entries(quantities)) {
        const row = quantityRow(key)!;
        if (value === null) continue;
        expect(value).toBeGreaterThanOrEqual(row.min);
        expect(value).toBeLessThanOrEqual(row.max);
      }
      expect(quantities.stateOfChargePct).toBe(60);
      if (++count === 5) break;
    }
    child.stdout.destroy();
    await once(child, 'exit');
    expect(child.exitCode).toBe(0);
  });

  /** A parent that starts the simulator and says its pid once it is up. */
  const parentOf = (args: string) => {
    const script = `const c = require('node:child_process').spawn(process.execPath, ${args}, { stdio: ['ignore', 'pipe', 'ignore'] });
      c.stdout.once('data', () => console.log(c.pid)); setInterval(() => {}, 1e6)`;
    return spawn(process.execPath, ['-e', script], { stdio: ['ignore', 'pipe', 'inherit'] });
  };

  it('ends when its parent is killed outright', async () => {
    const parent = parentOf(JSON.stringify([RUN, '--tcp', '0']));
    const [line] = (await once(createInterface({ input: parent.stdout }), 'line')) as [string];
    const pid = Number(line);
    expect(alive(pid)).toBe(true);
    parent.kill('SIGKILL');
    await gone(pid);
    expect(alive(pid)).toBe(false);
  });

  it('ends at once where the parent it was told of is not its parent any more', () => {
    const { status } = run('--tcp', '0', '--start-pct', '50', '--parent', '1');
    expect(status).toBe(0);
  });
});

describe('the simulator as a SunSpec device', () => {
  const READ_MARK = Uint8Array.of(0, 1, 0, 0, 0, 6, 1, 3, 0x9c, 0x40, 0, 2);

  it('answers Modbus on its port, one reply a question, and obeys what is said of its faults', async () => {
    const simulator = started('--protocol', 'sunspec', '--tcp', '0', '--start-pct', '50');
    const { ready } = (await simulator.ready) as { ready: { port: number } };
    const socket = connect(ready.port, '127.0.0.1');
    const ask = async (): Promise<number[]> => {
      socket.write(READ_MARK);
      const [reply] = (await once(socket, 'data')) as [Buffer];
      return [...reply];
    };
    expect(await ask()).toEqual([0, 1, 0, 0, 0, 7, 1, 3, 4, 0x53, 0x75, 0x6e, 0x53]);
    expect(await simulator.ask('refuse 6')).toEqual({ command: 'refuse' });
    expect(await ask()).toEqual([0, 1, 0, 0, 0, 3, 1, 0x83, 6]);
    expect(await simulator.ask('refuse off')).toEqual({ command: 'refuse' });
    expect(await simulator.ask('freeze maybe')).toEqual({ command: 'freeze', refused: 'freeze on|off' });
    expect(await simulator.ask('counters wrap')).toEqual({ command: 'counters' });
    socket.destroy();
  });

  it('needs a cable that can answer, and its words only mean something to it', async () => {
    expect(run('--protocol', 'sunspec').status).toBe(2);
    expect(run('--protocol', 'morse', '--tcp', '0').stderr).toContain('lines or sunspec');
    const plain = started('--tcp', '0', '--start-pct', '50');
    await plain.ready;
    expect(await plain.ask('freeze on')).toEqual({ command: 'freeze', refused: 'only with --protocol sunspec' });
  });
});

describe('the simulator on a TCP port', () => {
  it('gives every client every frame, and takes the cable out and puts it back on the same port', async () => {
    const simulator = started('--tcp', '0', '--start-pct', '50', '--interval-ms', '50');
    const { ready } = (await simulator.ready) as { ready: { port: number } };
    const open = () => connect(ready.port, '127.0.0.1');
    const sockets = [open(), open()];
    const lines = await Promise.all(sockets.map(s => once(createInterface({ input: s }), 'line')));
    for (const [line] of lines) expect(JSON.parse(line as string)).toMatchObject({ stateOfChargePct: 50 });
    const closed = sockets.map(s => once(s, 'close'));
    await simulator.ask('unplug');
    await Promise.all(closed);
    const [refused] = await once(open(), 'error');
    expect(refused.code).toBe('ECONNREFUSED');
    expect(await simulator.ask('replug')).toMatchObject({ port: ready.port });
    const again = open();
    await once(createInterface({ input: again }), 'line');
    again.destroy();
  });

  it('answers for its own ledger, its loads and the wall', async () => {
    const simulator = started(
      '--tcp',
      '0',
      '--start-pct',
      '50',
      '--at',
      '2026-06-21T12:00:00Z',
      '--zone',
      'UTC',
      '--speed',
      '600',
    );
    await simulator.ready;
    expect(await simulator.ask('mains on')).toEqual({ command: 'mains', mains: 'on' });
    const now = (await simulator.ask('now')) as { atMs: number; states: { onMains: boolean }; drawing: object };
    expect(now.states.onMains).toBe(true);
    expect(now.drawing).toHaveProperty('router');
    const ledger = await simulator.ask(`ledger 2026-06-21T12:00:00Z ${now.atMs}`);
    expect(ledger).toMatchObject({ command: 'ledger', coveredMs: now.atMs - Date.UTC(2026, 5, 21, 12) });
    expect(ledger.solarWh).toBeGreaterThan(0);
    expect(await simulator.ask('household out')).toEqual({ command: 'household', household: 'out' });
    expect(await simulator.ask('load 250')).toEqual({ command: 'load', load: 250, side: 'ac' });
    expect(await simulator.ask('load much')).toHaveProperty('refused');
    expect(await simulator.ask('ledger')).toHaveProperty('refused');
    expect(await simulator.ask('dance')).toHaveProperty('refused');
  });

  it('lives at the pace of a season in three minutes, and answers for every day of it', async () => {
    const bornMs = Date.UTC(2026, 5, 1);
    const born = ['--since', '2026-06-01T00:00:00Z', '--at', '2026-06-01T00:00:00Z', '--zone', 'UTC'];
    const simulator = started('--tcp', '0', ...born, '--speed', '50000');
    await simulator.ready;
    const now = async () => ((await simulator.ask('now')) as { atMs: number }).atMs;
    await expect.poll(now, { timeout: 60_000, interval: 1000 }).toBeGreaterThan(bornMs + 3 * 86_400_000);
    const ledger = await simulator.ask('ledger 2026-06-01T00:00:00Z 2026-06-04T00:00:00Z');
    expect(ledger).toMatchObject({ coveredMs: 3 * 86_400_000 });
    expect(ledger.solarWh).toBeGreaterThan(0);
  }, 90_000);
});

describe('the command line', () => {
  const SPAN = { coldestC: -15, hottestC: 38 };

  it('describes the shed in the words of the settings file, wherever the machine is', () => {
    for (const zone of ['Europe/Lisbon', 'Australia/Adelaide', 'America/Lima', 'Pacific/Kiritimati']) {
      const shed = JSON.parse(run('--describe', '--zone', zone).stdout);
      const settings = v.parse(StationSettings, { ...shed, id: 'shed', transport: { kind: 'typed' } });
      expect(settings.name).toBe('Honey shed');
      expect(settings.zone).toBe(zone);
      expect(settings.solarPort).toMatchObject([{ minV: 16, maxV: 82, maxA: 9, maxW: 400 }]);
      expect(settings.panel).toMatchObject([{ count: 3, openCircuitV: 22.4, maxPowerA: 4.84, build: 'folding' }]);
    }
  });

  it('puts the shed’s noon on the zone’s noon, in the hemisphere that is not in winter', () => {
    const place = (zone: string, at: string) => JSON.parse(run('--describe', '--zone', zone, '--at', at).stdout).place;
    expect(place('Asia/Kolkata', '2026-12-20T00:00:00Z')).toEqual({ latitudeDeg: -34.6, longitudeDeg: 82.5, ...SPAN });
    expect(place('America/Chicago', '2026-07-20T00:00:00Z')).toEqual({ latitudeDeg: 34.6, longitudeDeg: -90, ...SPAN });
  });

  it('keeps the shed where it was born, however long it lives', () => {
    const place = (...args: string[]) =>
      JSON.parse(run('--describe', '--zone', 'UTC', ...args).stdout).place.latitudeDeg;
    expect(place('--at', '2027-02-20T12:00:00Z')).toBe(-34.6);
    expect(place('--at', '2027-02-20T12:00:00Z', '--since', '2027-01-30T00:00:00Z')).toBe(-34.6);
    expect(place('--at', '2027-06-20T12:00:00Z', '--since', '2027-01-30T00:00:00Z')).toBe(-34.6);
    expect(place('--at', '2027-06-20T12:00:00Z')).toBe(34.6);
  });

  it('takes negative values in both forms', () => {
    for (const args of [
      ['--lat', '-12.5', '--lon=-3'],
      ['--lat=-12.5', '--lon', '-3'],
    ])
      expect(JSON.parse(run('--describe', ...args).stdout).place).toEqual({
        latitudeDeg: -12.5,
        longitudeDeg: -3,
        ...SPAN,
      });
  });

  it('refuses what it does not know with code 2 and says what was meant', () => {
    for (const args of [
      ['--frob'],
      ['--lat', '91'],
      ['--zone', 'Nowhere/At_All'],
      ['--until', 'soon', '--history', '3'],
      ['--fault', 'explode=1'],
    ]) {
      const { status, stderr } = run(...args);
      expect(status).toBe(2);
      expect(stderr).toContain(args[0]!);
      expect(stderr).toContain('usage:');
    }
    expect(run('--help').status).toBe(0);
  });
});
