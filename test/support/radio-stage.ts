/** Peripherals on a soft radio in this process, and the agent's radio process with the real library in front of it. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { onTestFinished } from 'vitest';
import type { BleNeeds } from '#kit';
import { createRadioHost, type RadioHost } from '../../agent/host/radio-host.ts';
import type { RadioLimits } from '../../agent/host/radio-limits.ts';
import { openBle } from '../../agent/transports/ble.ts';
import type { BleTarget } from '../../agent/transports/ble-radio.ts';
import type { Lack } from '../../simulators/radio/host-socket.ts';
import type { Peripheral, PeripheralPlan } from '../../simulators/radio/peripheral.ts';
import { createSoftRadio } from '../../simulators/radio/soft-radio.ts';
import { bundle } from './child.ts';
import { type LinkLog, openLogged } from './link-log.ts';
import { realClock, realTimers } from './real-time.ts';

/** Address of the module that puts a process on the soft radio, for `node --import`. */
export const hookUrl = (query: { radio: string } | { lack: Lack }): string =>
  `${pathToFileURL(bundle('simulators/radio/hook.ts')).href}?${new URLSearchParams(query)}`;

export interface RadioStage {
  readonly host: RadioHost;
  readonly peripherals: readonly Peripheral[];
  readonly socket: string;
  /** What the radio's process printed and why it ended. */
  readonly trouble: string[];
  open(target: BleTarget): LinkLog & { values: { from: string; bytes: Buffer }[] };
}

/** Short enough for a test, long enough for a busy computer. */
const SHORT: Partial<RadioLimits> = {
  powerMs: 1500,
  findMs: 1500,
  connectMs: 1500,
  discoverMs: 1500,
  subscribeMs: 1500,
  answerMs: 1500,
};

/** @param limits those of single steps */
export function stageHost(
  query: { radio: string } | { lack: Lack },
  limits = SHORT,
): { host: RadioHost; trouble: string[] } {
  const trouble: string[] = [];
  const host = createRadioHost({
    entryPath: bundle('agent/host/radio-child.ts'),
    execArgv: ['--import', hookUrl(query)],
    clock: realClock,
    timers: realTimers,
    environment: process.env,
    limits,
    onTrouble: text => trouble.push(text),
  });
  onTestFinished(() => host.close());
  return { host, trouble };
}

export async function stageRadio(
  plans: readonly PeripheralPlan[],
  limits: Partial<RadioLimits> = {},
): Promise<RadioStage> {
  const dir = mkdtempSync(join(tmpdir(), 'radio-'));
  const socket = join(dir, 'air');
  const radio = createSoftRadio(plans);
  await radio.listen(socket);
  onTestFinished(async () => {
    await radio.close();
    rmSync(dir, { recursive: true, force: true });
  });
  const { host, trouble } = stageHost({ radio: socket }, { ...SHORT, ...limits });
  return {
    host,
    trouble,
    socket,
    peripherals: radio.peripherals,
    open(target) {
      const values: { from: string; bytes: Buffer }[] = [];
      const log = openLogged(openBle({ target, radio: host }), (bytes, from) =>
        values.push({ from, bytes: Buffer.from(bytes) }),
      );
      return Object.assign(log, { values });
    },
  };
}

export const SHED_SERVICE = '6b1f00a00000400080000000aabbcc01';
const TELLS = '6b1f00a00000400080000000aabbcc02';
const ASKED = '6b1f00a00000400080000000aabbcc03';
const STATE = '6b1f00a00000400080000000aabbcc04';

/** An invented station: it tells, it is asked, and its state can be read. */
export const shedPlan = (change: Partial<PeripheralPlan> = {}): PeripheralPlan => ({
  address: 'c0:00:00:00:00:01',
  name: 'Honey shed',
  services: [
    {
      uuid: SHED_SERVICE,
      characteristics: [
        { uuid: TELLS, can: ['notify'] },
        { uuid: ASKED, can: ['write'] },
        { uuid: STATE, can: ['read'], value: Buffer.from('fine') },
      ],
    },
  ],
  ...change,
});

export const SHED = { service: SHED_SERVICE, tells: TELLS, asked: ASKED, state: STATE };

export const shedNeeds: BleNeeds = {
  find: { services: [SHED_SERVICE] },
  characteristics: {
    tells: { service: SHED_SERVICE, uuid: TELLS, use: ['notify'] },
    asked: { service: SHED_SERVICE, uuid: ASKED, use: ['write'] },
    state: { service: SHED_SERVICE, uuid: STATE, use: ['read'] },
  },
};
