/** The built agent with two Bluetooth stations on a soft radio in this process, as tests of the whole need them. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { onTestFinished } from 'vitest';
import type { NowAnswer } from '#messages';
import { BATTERY, batteryService, batteryValues, levelValue } from '../../simulators/radio/battery.ts';
import type { Peripheral, PeripheralPlan } from '../../simulators/radio/peripheral.ts';
import { createSoftRadio } from '../../simulators/radio/soft-radio.ts';
import { type AgentProcess, freshFolders, startAgentProcess } from './agent-process.ts';
import { built } from './built.ts';

const FIGURES = {
  levelPct: 71,
  inputW: 181,
  outputW: 61,
  voltageV: 26.4,
  availableWh: 1370,
  toEmptyMin: null,
  toFullMin: 130,
};

/** A whole battery service. */
const SHED: PeripheralPlan = {
  address: 'c0:00:00:00:00:01',
  name: 'Honey shed',
  services: [batteryService(batteryValues(FIGURES))],
};
/** Nothing but a level. */
const LAMP: PeripheralPlan = {
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

export interface AirAgent {
  agent: AgentProcess;
  /** The shed, then the lamp. */
  readonly peripherals: readonly [Peripheral, Peripheral];
  now(station: string): Promise<NowAnswer>;
  /** Asks until something holds. */
  untilNow(station: string, holds: (answer: NowAnswer) => boolean): Promise<NowAnswer>;
  /** Ends the agent and starts it again on the same folders. */
  restart(): Promise<void>;
}

/** @param more settings of further stations, TOML */
export async function startAirAgent(more = ''): Promise<AirAgent> {
  const dir = mkdtempSync(join(tmpdir(), 'air-'));
  const socket = join(dir, 'air');
  const radio = createSoftRadio([SHED, LAMP]);
  await radio.listen(socket);
  const folders = freshFolders(SETTINGS + more);
  const hook = `${pathToFileURL(built('simulators/radio/hook.js')).href}?${new URLSearchParams({ radio: socket })}`;
  const start = () => startAgentProcess(folders, [], ['--import', hook]);
  const air: AirAgent = {
    agent: await start(),
    peripherals: radio.peripherals as unknown as AirAgent['peripherals'],
    now: station => air.agent.api<NowAnswer>(`api/stations/${station}/now`),
    async untilNow(station, holds) {
      for (;;) {
        const answer = await air.now(station);
        if (holds(answer)) return answer;
        await new Promise(resolve => setTimeout(resolve, 30));
      }
    },
    async restart() {
      await air.agent.end();
      air.agent = await start();
    },
  };
  onTestFinished(async () => {
    await air.agent.end();
    await radio.close();
    rmSync(dir, { recursive: true, force: true });
    folders.remove();
  });
  return air;
}
