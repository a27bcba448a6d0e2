import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import type { WireReading, WireStatus } from '#messages';
import { freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { startSimulator } from '../support/simulator.ts';

const settings = (transport: string, adapter: string): string => `
[[station]]
id = "shed"
name = "Honey shed"
adapter = "${adapter}"
ratedWh = 1640
transport = ${transport}
`;

interface Now {
  reading: WireReading | null;
  status: WireStatus | null;
}

/** The simulated device, and the whole agent reading it. */
async function stage(adapter: string, args: readonly string[]) {
  const folder = mkdtempSync(join(tmpdir(), 'modbus-'));
  const link = join(folder, 'port');
  const onSerial = adapter === 'sunspec-modbus';
  const cable = onSerial ? ['--pty', link, '--baud', '9600'] : ['--tcp', '0'];
  const simulator = startSimulator(['--protocol', 'sunspec', ...cable, '--start-pct', '64', '--zone', 'UTC', ...args]);
  const { ready } = (await simulator.ready) as { ready: { port: number } };
  const transport = onSerial
    ? `{ kind = "serial", path = "${link}", baud = 9600 }`
    : `{ kind = "tcp", host = "127.0.0.1", port = ${ready.port} }`;
  const folders = freshFolders(settings(transport, adapter));
  const agent = await startAgentProcess(folders);
  onTestFinished(async () => {
    await agent.end();
    await simulator.stop();
    folders.remove();
    rmSync(folder, { recursive: true, force: true });
  });
  const now = () => agent.api<Now>('api/stations/shed/now');
  const until = async (holds: (now: Now) => boolean): Promise<Now> => {
    for (;;) {
      const told = await now();
      if (holds(told)) return told;
      await new Promise(resolve => setTimeout(resolve, 100));
    }
  };
  return { simulator, now, until };
}

describe('a SunSpec device and the whole agent', () => {
  it('is read over Modbus RTU at 9600 baud through the real serial library, refused, silent, and read again', async () => {
    const { simulator, now, until } = await stage('sunspec-modbus', []);
    const first = await until(told => told.status?.phase === 'live');
    const shown = await simulator.ask('now');
    const { quantities } = shown as { quantities: Record<string, number> };
    expect(first.reading?.quantities.stateOfChargePct).toBe(quantities.stateOfChargePct);
    expect(first.reading?.quantities.batteryVoltageV).toBeCloseTo(quantities.batteryVoltageV!, 0);
    expect(first.reading?.quantities.acVoltageV).toBe(230);
    expect(first.reading?.states.inputSource).toBe('sun');

    await simulator.ask('refuse 6');
    await until(told => (told.status?.rejected.refused ?? 0) > 3);
    await simulator.ask('refuse off');
    await simulator.ask('unplug');
    await until(told => told.status?.phase === 'retrying');
    await simulator.ask('replug');
    const again = await until(told => told.status?.phase === 'live');
    expect(again.reading?.session).not.toBe(first.reading?.session);
    expect((await now()).status?.failure).toBeUndefined();
  }, 120_000);

  it('is read over Modbus TCP, the older make, with a tenth of the replies lost', async () => {
    const { until } = await stage('sunspec-tcp', ['--make', '103', '--unit', '126', '--fault', 'drop=0.1']);
    const told = await until(({ status }) => (status?.accepted ?? 0) > 3);
    expect(told.reading?.quantities).toHaveProperty(['solarPowerW.1']);
    expect(told.reading?.quantities.stateOfChargePct).toBe(64);
  }, 120_000);
});
