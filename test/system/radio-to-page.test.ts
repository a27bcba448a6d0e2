import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, onTestFinished } from 'vitest';
import type { NowAnswer, ScanAnswer } from '#messages';
import { BATTERY, batteryService, batteryValues, levelValue } from '../../simulators/radio/battery.ts';
import type { PeripheralPlan } from '../../simulators/radio/peripheral.ts';
import { createSoftRadio } from '../../simulators/radio/soft-radio.ts';
import { tapLive } from '../bench/live-tap.ts';
import { freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { withNoble } from '../support/needs-noble.ts';
import { until } from '../support/real-time.ts';

const figures = {
  levelPct: 71,
  inputW: 181,
  outputW: 61,
  voltageV: 26.4,
  availableWh: 1370,
  toEmptyMin: null,
  toFullMin: 130,
};
const FULL: PeripheralPlan = {
  address: 'c0:00:00:00:00:01',
  name: 'Honey shed',
  services: [batteryService(batteryValues(figures))],
};
const BARE: PeripheralPlan = {
  address: 'c0:00:00:00:00:02',
  name: 'Garden lamp',
  services: [batteryService({ [BATTERY.level]: levelValue(48) })],
};

const SETTINGS = `
[[station]]
id = "shed"
name = "Honey shed"
adapter = "ble-battery"
transport = { kind = "ble", name = "Honey shed", service = "180f" }
[[station]]
id = "lamp"
name = "Garden lamp"
adapter = "ble-battery"
transport = { kind = "ble", address = "C0:00:00:00:00:02" }
`;

async function stage() {
  const dir = mkdtempSync(join(tmpdir(), 'air-'));
  const radio = createSoftRadio([FULL, BARE]);
  await radio.listen(join(dir, 'air'));
  const folders = freshFolders(SETTINGS);
  const hook = `${pathToFileURL(built('simulators/radio/hook.js')).href}?${new URLSearchParams({ radio: join(dir, 'air') })}`;
  const agent = await startAgentProcess(folders, [], ['--import', hook]);
  onTestFinished(async () => {
    await agent.end();
    await radio.close();
    rmSync(dir, { recursive: true, force: true });
    folders.remove();
  });
  const now = (station: string) => agent.api<NowAnswer>(`api/stations/${station}/now`);
  return { agent, radio, now };
}

const reading = async (now: () => Promise<NowAnswer>): Promise<NowAnswer['reading']> => {
  for (;;) {
    const { reading: told } = await now();
    if (told !== null) return told;
    await new Promise(resolve => setTimeout(resolve, 50));
  }
};

describe('stations over Bluetooth in a running agent', () => {
  withNoble('give what their battery service tells, the one with nothing but a level too', async () => {
    const { radio, now, agent } = await stage();
    expect((await reading(() => now('shed')))?.quantities).toMatchObject({
      stateOfChargePct: 71,
      inputPowerW: 181,
      outputPowerW: 61,
      batteryVoltageV: 26.4,
      availableEnergyWh: 1370,
      statedMinutesToFull: 130,
    });
    expect((await reading(() => now('lamp')))?.quantities).toEqual({
      stateOfChargePct: 48,
      inputPowerW: null,
      outputPowerW: null,
    });
    const seen: (number | null | undefined)[] = [];
    const tap = await tapLive(agent.url, told => seen.push(told.quantities.stateOfChargePct));
    radio.peripherals[0]!.tell(BATTERY.level, levelValue(72));
    await until(() => seen.includes(72));
    tap.close();
    expect(agent.complaints()).toBe('');
  });

  withNoble('are found by a search, with the adapter that they look made for', async () => {
    const { radio, agent } = await stage();
    await until(() => radio.peripherals.every(peripheral => peripheral.isHeld));
    // One that is held does not advertise: here the lamp is out of its station's hands for a moment.
    radio.peripherals[1]!.loseLink();
    const { peripherals, trouble } = await agent.post<ScanAnswer>('api/scan', { forS: 1 });
    expect(trouble).toBeNull();
    expect(peripherals).toMatchObject([
      { id: 'c00000000002', name: 'Garden lamp', services: ['180f'], adapters: ['ble-battery'] },
    ]);
  });
});
