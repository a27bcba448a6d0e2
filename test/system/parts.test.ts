import { mkdtempSync, rmSync } from 'node:fs';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { expect, it, onTestFinished } from 'vitest';
import type { WireReading, WireStation, WireStatus } from '#messages';
import { freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { startSimulator } from '../support/simulator.ts';

/** A meter in the panels' lead that says its watts twice a second to whoever connects. */
async function panelMeter(watts: number) {
  const sockets = new Set<Socket>();
  const server: Server = createServer(socket => {
    sockets.add(socket);
    socket.on('error', () => socket.destroy());
    socket.on('close', () => sockets.delete(socket));
  });
  const say = setInterval(() => {
    for (const socket of sockets) socket.write(`{"meterPowerW":${watts}}\n`);
  }, 500);
  const listen = (port: number) => new Promise<void>(resolve => server.listen(port, '127.0.0.1', resolve));
  await listen(0);
  const { port } = server.address() as AddressInfo;
  const kill = async (): Promise<void> => {
    for (const socket of sockets) socket.destroy();
    await new Promise(resolve => server.close(resolve));
  };
  onTestFinished(async () => {
    clearInterval(say);
    await kill();
  });
  return { port, kill, revive: () => listen(port) };
}

const settings = (port: number, link: string): string => `
[record]
commitIntervalS = 1

[[station]]
id = "shed"
name = "Honey shed"
ratedWh = 1640
zone = "UTC"
inputSource = "sun"
[station.transport]
kind = "parts"

[[station.transport.part]]
name = "Panel meter"
gives = ["solarPowerW"]
transport = { kind = "tcp", host = "127.0.0.1", port = ${port} }

[[station.transport.part]]
name = "Converter"
adapter = "sunspec-modbus"
gives = ["acOutputPowerW", "dcOutputPowerW", "acVoltageV"]
transport = { kind = "serial", path = "${link}", baud = 115200 }

[[station.transport.part]]
name = "Battery monitor"
gives = ["batteryVoltageV"]
transport = { kind = "process", command = [${JSON.stringify(process.execPath)}, "-e", "setInterval(() => console.log('{\\"batteryVoltageV\\":52.4}'), 500)"] }

[[station.transport.part]]
name = "Screen"
gives = ["stateOfChargePct"]
transport = { kind = "typed" }
`;

interface Now {
  reading: WireReading | null;
  status: WireStatus | null;
}
interface Days {
  days: { solarWh: number; outputWh: number }[];
}

it('a station is read from a meter on the network, a converter on a serial port, a program and its owner’s typing', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'parts-'));
  const link = join(folder, 'port');
  const meter = await panelMeter(120);
  const simulator = startSimulator(['--protocol', 'sunspec', '--pty', link, '--start-pct', '64', '--zone', 'UTC']);
  await simulator.ready;
  const folders = freshFolders(settings(meter.port, link));
  const agent = await startAgentProcess(folders);
  onTestFinished(async () => {
    await agent.end();
    await simulator.stop();
    folders.remove();
    rmSync(folder, { recursive: true, force: true });
  });
  const until = async (holds: (now: Now) => boolean): Promise<Now> => {
    for (;;) {
      const told = await agent.api<Now>('api/stations/shed/now');
      if (holds(told)) return told;
      await pause(100);
    }
  };
  const missing = ({ status }: Now) => status?.parts?.filter(part => part.missing).map(part => part.name);
  const energy = async () => {
    const { days } = await agent.api<Days>('api/stations/shed/days?from=2000-01-01&to=2100-01-01');
    return days.reduce((all, day) => ({ solarWh: all.solarWh + day.solarWh, outputWh: all.outputWh + day.outputWh }), {
      solarWh: 0,
      outputWh: 0,
    });
  };

  const { stations } = await agent.api<{ stations: WireStation[] }>('api/stations');
  expect(stations[0]).toMatchObject({
    transport: 'parts',
    gives: expect.arrayContaining(['solarPowerW', 'stateOfChargePct']),
  });
  await until(now => missing(now)?.join() === 'Screen');
  await agent.post('api/stations/shed/typed', { stateOfChargePct: 71 });
  const whole = await until(now => missing(now)?.length === 0 && now.reading?.quantities.stateOfChargePct === 71);
  expect(whole.reading?.quantities).toMatchObject({
    solarPowerW: 120,
    inputPowerW: 120,
    batteryVoltageV: 52.4,
    acVoltageV: 230,
    stateOfChargePct: 71,
  });
  expect(whole.reading?.quantities.outputPowerW).toBeGreaterThan(0);
  await pause(3000);

  await meter.kill();
  const without = await until(now => missing(now)?.join() === 'Panel meter');
  expect(without.status).toMatchObject({ phase: 'live' });
  expect(without.status?.parts?.[0]).toMatchObject({ phase: 'retrying', gives: ['solarPowerW'] });
  expect(without.reading?.quantities).toMatchObject({ batteryVoltageV: 52.4, stateOfChargePct: 71 });
  await until(now => now.reading?.quantities.solarPowerW === null);
  // What came before is saved by then.
  await pause(2000);
  const before = await energy();
  expect(before.solarWh).toBeGreaterThan(0);
  await pause(4000);
  const after = await energy();
  expect(after.solarWh).toBe(before.solarWh);
  expect(after.outputWh).toBeGreaterThan(before.outputWh);

  await meter.revive();
  const again = await until(now => missing(now)?.length === 0 && now.reading?.quantities.solarPowerW === 120);
  expect(again.reading?.session).toBe(whole.reading?.session);
}, 180_000);
