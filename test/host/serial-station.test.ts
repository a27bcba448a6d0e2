import { afterEach, describe, expect } from 'vitest';
import { createAdapterHost } from '../../agent/host/adapter-host.ts';
import { createSupervisor, type StationReading, type StationStatus } from '../../agent/stations/index.ts';
import { openLinkFor } from '../../agent/transports/index.ts';
import { built } from '../support/built.ts';
import { needs } from '../support/needs.ts';
import { plugPty } from '../support/pty.ts';
import { realClock, realTimers, until } from '../support/real-time.ts';

const undo: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const step of undo.splice(0).reverse()) await step();
});

async function stage() {
  const port = await plugPty();
  undo.push(() => port.remove());
  const readings: StationReading[] = [];
  const statuses: StationStatus[] = [];
  const around = { clock: realClock, timers: realTimers };
  const host = createAdapterHost({
    ...around,
    entryPath: built('agent/host/adapter-child.js'),
    onStderr: () => undefined,
  });
  undo.push(() => host.close());
  let session = 0;
  const supervisor = createSupervisor({
    ...around,
    random: () => 0,
    newSessionId: () => String(++session),
    runner: host,
    onReading: reading => readings.push(reading),
    onStatus: status => statuses.push(status),
  });
  undo.push(() => supervisor.close());
  const transport = { kind: 'serial', path: port.path, baud: 115_200 } as const;
  const openLink = openLinkFor(transport, { ...around, environment: {}, onStderr: () => undefined });
  supervisor.set([{ kind: 'linked', id: 'shed', adapter: 'lines', openLink, link: port.path, key: port.path }]);
  const say = (watts: number) => port.write(`{"inputPowerW":${watts},"outputPowerW":35,"stateOfChargePct":81}\r\n`);
  const phase = () => supervisor.statuses()[0]?.phase;
  return { port, readings, statuses, say, phase, status: () => supervisor.statuses()[0] };
}

const onPty = needs('socat');

describe('a station on a serial port', () => {
  onPty('is read through the real library, unplugged, plugged in behind the same name and read again', async () => {
    const { port, readings, say, phase, status, statuses } = await stage();
    await until(() => phase() === 'waiting');
    say(120);
    await until(() => readings.length === 1);
    expect(readings[0]).toMatchObject({ session: '1', seq: 1, quantities: { inputPowerW: 120 } });

    await port.unplug();
    await until(() => phase() === 'retrying');
    expect(status()?.failure).toBe('unplugged');
    await until(() => status()?.failure === 'notFound');
    await port.plug();
    await until(() => phase() === 'waiting');
    say(130);
    await until(() => readings.length === 2);
    expect(readings[1]).toMatchObject({ seq: 1, quantities: { inputPowerW: 130 } });
    expect(readings[1]?.session).not.toBe('1');
    expect(status()).toMatchObject({ phase: 'live', attempt: 0, accepted: 2 });
    expect(statuses.map(s => s.phase)).toContain('connecting');
  });

  onPty('survives noise and half frames, counts them and reads the next good line', async () => {
    const { port, readings, say, phase, status } = await stage();
    await until(() => phase() === 'waiting');
    port.write('{"inputPowerW":1');
    port.write(Buffer.from([0x00, 0xff, 0x80, 0x0a]));
    port.write('?\n[1]\n{"watts":3}\n');
    port.write(`${'x'.repeat(6000)}\n`);
    say(50);
    await until(() => readings.length === 1);
    await until(() => Object.values(status()?.rejected ?? {}).reduce((sum, n) => sum + n, 0) === 5);
    expect(status()?.rejected).toEqual({ notText: 1, notJson: 1, notObject: 1, noQuantity: 1, tooLong: 1 });
    expect(readings[0]?.quantities.inputPowerW).toBe(50);
  });
});
