import { describe, expect } from 'vitest';
import type { ScanAnswer, WireStatus } from '#messages';
import { BATTERY, levelValue } from '../../simulators/radio/battery.ts';
import { tapLive } from '../bench/live-tap.ts';
import { startAirAgent } from '../support/air-agent.ts';
import { withNoble } from '../support/needs-noble.ts';
import { until } from '../support/real-time.ts';

/** A program that prints a reading every 100 ms. */
const BARN = `
[[station]]
id = "barn"
name = "Barn"
transport = { kind = "process", command = ["${process.execPath}", "-e", "setInterval(() => console.log(JSON.stringify({ inputPowerW: 1, outputPowerW: 2, stateOfChargePct: 50 })), 100)"] }
`;

const isLive = ({ status }: { status: WireStatus }) => status.phase === 'live';

describe('stations over Bluetooth in a running agent', () => {
  withNoble('give what their battery service tells, the one with nothing but a level too', async () => {
    const air = await startAirAgent();
    const shed = await air.untilNow('shed', ({ reading }) => reading !== null);
    expect(shed.reading?.quantities).toMatchObject({
      stateOfChargePct: 71,
      inputPowerW: 181,
      outputPowerW: 61,
      batteryVoltageV: 26.4,
      availableEnergyWh: 1370,
      statedMinutesToFull: 130,
    });
    const lamp = await air.untilNow('lamp', ({ reading }) => reading !== null);
    expect(lamp.reading?.quantities).toEqual({ stateOfChargePct: 48, inputPowerW: null, outputPowerW: null });
    const seen: (number | null | undefined)[] = [];
    const tap = await tapLive(air.agent.url, told => seen.push(told.quantities.stateOfChargePct));
    await until(() => air.peripherals[0].subscription(BATTERY.level) === 'notify');
    air.peripherals[0].tell(BATTERY.level, levelValue(72));
    await until(() => seen.includes(72));
    tap.close();
    expect(air.agent.complaints()).toBe('');
  });

  withNoble('are found by a search, with the adapter that they look made for', async () => {
    const air = await startAirAgent();
    await until(() => air.peripherals.every(peripheral => peripheral.isHeld));
    // One that is held does not advertise.
    await air.agent.post('api/stations/lamp/put-away', {});
    await until(() => !air.peripherals[1].isHeld);
    const { peripherals, trouble } = await air.agent.post<ScanAnswer>('api/scan', { forS: 1 });
    expect(trouble).toBeNull();
    expect(peripherals).toMatchObject([
      { id: 'c00000000002', name: 'Garden lamp', services: ['180f'], adapters: ['ble-battery'] },
    ]);
  });

  withNoble('are let go by the owner, over a restart too, and taken up again', async () => {
    const air = await startAirAgent();
    const [shed, lamp] = air.peripherals;
    await until(() => shed.isHeld && lamp.isHeld);
    await air.agent.post('api/stations/shed/release', {});
    await air.agent.post('api/stations/lamp/put-away', {});
    await until(() => !shed.isHeld && !lamp.isHeld);
    const released = await air.now('shed');
    expect(released.status.phase).toBe('released');
    expect(released.status.nextTryInMs).toBeGreaterThan(0);
    await air.restart();
    expect((await air.now('shed')).status.phase).toBe('released');
    expect((await air.now('lamp')).status).toMatchObject({ phase: 'away', nextTryInMs: null });
    expect([shed.isHeld, lamp.isHeld]).toEqual([false, false]);
    await air.agent.post('api/stations/shed/retry', {});
    await air.untilNow('shed', isLive);
    expect(lamp.isHeld).toBe(false);
    await air.agent.post('api/stations/lamp/retry', {});
    await air.untilNow('lamp', isLive);
  });

  withNoble('come back at once from a packet that ends the radio, and other stations hear nothing of it', async () => {
    const air = await startAirAgent(BARN);
    for (const station of ['shed', 'lamp', 'barn']) await air.untilNow(station, isLive);
    const barn: string[] = [];
    const tap = await tapLive(air.agent.url, () => undefined);
    tap.socket.on('message', bytes => {
      const { type, status } = JSON.parse(String(bytes)) as { type: string; status?: WireStatus };
      if (type === 'status' && status?.station === 'barn') barn.push(status.phase);
    });
    const before = (await air.now('shed')).reading?.session;
    const beganMs = performance.now();
    air.peripherals[0].sendBroken('notification');
    await air.untilNow('shed', ({ reading }) => reading?.session !== before);
    console.log(`readings were back after ${Math.round(performance.now() - beganMs)} ms`);
    await air.untilNow('lamp', isLive);
    expect(barn.filter(phase => phase !== 'live')).toEqual([]);
    expect(air.agent.complaints()).toContain("the radio's process ended");
    tap.close();
  });

  withNoble('whose link breaks again and again are one steady message', async () => {
    const air = await startAirAgent();
    await air.untilNow('shed', isLive);
    const told: (string | undefined)[] = [];
    const tap = await tapLive(air.agent.url, () => undefined);
    tap.socket.on('message', bytes => {
      const { type, status } = JSON.parse(String(bytes)) as { type: string; status?: WireStatus };
      if (type === 'status' && status?.station === 'shed') told.push(status.failure);
    });
    for (let i = 0; i < 6; i++) {
      const session = (await air.now('shed')).reading?.session;
      air.peripherals[0].loseLink();
      await air.untilNow('shed', ({ reading }) => reading?.session !== session);
    }
    await until(() => told.includes('unsteady'));
    const first = told.indexOf('unsteady');
    expect(told.slice(first)).toEqual(['unsteady']);
    expect((await air.now('lamp')).status.phase).toBe('live');
    tap.close();
  });
});
