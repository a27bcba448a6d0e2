/**
 * Roads from a peripheral of the soft radio to a WebSocket. The radio is in this process, so that one clock times both
 * ends; every host is a process of its own with the real Bluetooth library.
 */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { BATTERY, batteryService, energyStatusValue, levelValue } from '../../simulators/radio/battery.ts';
import type { Peripheral } from '../../simulators/radio/peripheral.ts';
import { createSoftRadio } from '../../simulators/radio/soft-radio.ts';
import { freshHome, type Home, type Served, serve } from './agent.ts';
import { benchChild, inDist, ROOT } from './places.ts';

const SOURCE_W = 200;

/** Whole watts up to 1900 come through the format exactly. */
export const outputValue = (outputPowerW: number): Buffer =>
  energyStatusValue({ externalSourceW: SOURCE_W, chargeRateW: SOURCE_W - outputPowerW });

export interface Air {
  readonly peripherals: readonly Peripheral[];
  /** Arguments of Node for a process on this radio. */
  readonly nodeArgs: readonly string[];
  close(): Promise<void>;
}

/** A radio with a station of each name. */
export async function openAir(names: readonly string[]): Promise<Air> {
  const dir = mkdtempSync(join(tmpdir(), 'air-'));
  const socket = join(dir, 'air');
  const radio = createSoftRadio(
    names.map((name, i) => ({
      address: `c0:00:00:00:00:${(i + 1).toString(16).padStart(2, '0')}`,
      name,
      services: [batteryService({ [BATTERY.level]: levelValue(71), [BATTERY.energyStatus]: outputValue(50) })],
    })),
  );
  await radio.listen(socket);
  const hook = `${pathToFileURL(inDist('simulators/radio/hook.js')).href}?${new URLSearchParams({ radio: socket })}`;
  return {
    peripherals: radio.peripherals,
    nodeArgs: ['--import', hook],
    async close() {
      await radio.close();
      rmSync(dir, { recursive: true, force: true });
    },
  };
}

const stationOf = (name: string): string =>
  `[[station]]\nid = "${name}"\nname = "${name}"\nadapter = "ble-battery"\nratedWh = 1640\nzone = "UTC"\n` +
  `transport = { kind = "ble", name = "${name}" }\n`;

/** The built agent with the flags of `npm start`, and a station of each name. */
export async function agentOn(air: Air, names: readonly string[]): Promise<Served & { readonly home: Home }> {
  const home = freshHome(names.map(stationOf).join(''));
  const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { scripts: { start: string } };
  const flags = scripts.start.split(' ').filter(word => word.startsWith('--'));
  const served = await serve(process.execPath, [...air.nodeArgs, ...flags, inDist('program/main.js'), ...home.args], {
    env: home.env,
  });
  return { ...served, home };
}

export const bareOn = (air: Air, name: string, hops: 'one' | 'same'): Promise<Served> =>
  serve(process.execPath, [...air.nodeArgs, benchChild('bare-radio'), name, hops]);

export function hasNoble(): boolean {
  try {
    createRequire(import.meta.url).resolve('@abandonware/noble');
    return true;
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'MODULE_NOT_FOUND') return false;
    throw cause;
  }
}
