import { afterEach, expect, it } from 'vitest';
import { createAdapterHost } from '../../agent/host/adapter-host.ts';
import { createSupervisor, type StationReading, type StationStatus } from '../../agent/stations/index.ts';
import { describeLink, openLinkFor } from '../../agent/transports/index.ts';
import { built } from '../support/built.ts';
import { realClock, realTimers, until } from '../support/real-time.ts';

const closers: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const close of closers.splice(0).reverse()) await close();
});

it('turns the lines a program prints into numbered readings, and counts what it could not read', async () => {
  const readings: StationReading[] = [];
  const statuses: StationStatus[] = [];
  const host = createAdapterHost({
    entryPath: built('agent/host/adapter-child.js'),
    clock: realClock,
    timers: realTimers,
    onStderr: (_source, text) => expect.fail(`nothing is printed, but: ${text}`),
  });
  closers.push(() => host.close());
  const supervisor = createSupervisor({
    clock: realClock,
    timers: realTimers,
    random: () => 0.5,
    newSessionId: () => 'first',
    runner: host,
    onReading: reading => readings.push(reading),
    onStatus: status => statuses.push(status),
  });
  closers.push(() => supervisor.close());

  const program = `
    console.log('{"solarPowerW":120,"acOutputPowerW":35,"stateOfChargePct":81,"states":{"onMains":false}}');
    console.log('half a fra');
    console.log('{"inputPowerW":121,"outputPowerW":36,"stateOfChargePct":81}');
    setInterval(() => {}, 1000);`;
  const transport = { kind: 'process', command: [process.execPath, '-e', program] } as const;
  const openLink = openLinkFor(transport, {
    clock: realClock,
    timers: realTimers,
    environment: process.env,
    onStderr: () => undefined,
  });
  supervisor.set([
    { kind: 'linked', id: 'shed', adapter: 'lines', openLink, link: describeLink(transport), key: 'one' },
  ]);
  await until(() => readings.length === 2 && supervisor.statuses()[0]?.rejected.notJson === 1);

  expect(readings[0]).toMatchObject({
    station: 'shed',
    session: 'first',
    seq: 1,
    quantities: { inputPowerW: 120, outputPowerW: 35, stateOfChargePct: 81, solarPowerW: 120 },
    states: { onMains: false },
    quality: 'good',
  });
  expect(readings[1]?.seq).toBe(2);
  await until(() => supervisor.statuses()[0]?.staleAfterMs === 5000);
  expect(supervisor.statuses()[0]).toMatchObject({ phase: 'live', accepted: 2, attempt: 0 });
  expect(statuses.map(status => status.phase)).toEqual(expect.arrayContaining(['connecting', 'waiting', 'live']));
});
