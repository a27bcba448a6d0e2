/** Whether Bluetooth can be used on this computer, found out by switching it on; in words with what helps. */
import { join } from 'node:path';
import { createRadioHost } from '../host/radio-host.ts';
import { clock, timers } from './surroundings.ts';

/** Above the radio's own limit for switching on. */
const LIMIT_MS = 8_000;

/** Null: it can be used. Otherwise why not. */
export async function bluetoothTrouble(dist: string): Promise<string | null> {
  const radio = createRadioHost({
    entryPath: join(dist, 'agent', 'host', 'radio-child.js'),
    clock,
    timers,
    environment: process.env,
    onTrouble: () => undefined,
  });
  const trouble = await new Promise<string | null>(resolve => {
    const cancel = timers.after(LIMIT_MS, () => resolve(`no answer within ${LIMIT_MS / 1000} s`));
    const settle = (answer: string | null): void => {
      cancel();
      resolve(answer);
    };
    radio.search({ began: () => settle(null), heard: () => undefined, failed: (_, detail) => settle(detail) });
  });
  await radio.close();
  return trouble;
}
