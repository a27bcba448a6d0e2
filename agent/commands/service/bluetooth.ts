/** Whether the service has to leave the way to Bluetooth open, at the price of most of its hardening. */
import { spawnSync } from 'node:child_process';
import { accessSync, constants } from 'node:fs';
import type { Settings } from '#messages';

/** Where the program lies that came with the one that gives Node the right. */
const GETCAP = ['/usr/sbin/getcap', '/sbin/getcap', '/usr/bin/getcap'];

/** A station is read by Bluetooth, or this Node was given the right to use it. */
export const needsBluetooth = (settings: Settings, nodePath: string): boolean =>
  readsByBluetooth(settings) || mayUseBluetooth(nodePath);

export const readsByBluetooth = ({ station }: Settings): boolean =>
  station.some(({ transport }) =>
    transport.kind === 'parts' ? transport.part.some(part => part.transport.kind === 'ble') : transport.kind === 'ble',
  );

function mayUseBluetooth(nodePath: string): boolean {
  const getcap = GETCAP.find(isProgram);
  if (getcap === undefined) return false;
  const { stdout } = spawnSync(getcap, [nodePath], { env: {}, encoding: 'utf8', timeout: 3000 });
  return stdout?.includes('cap_net_raw') === true;
}

function isProgram(path: string): boolean {
  try {
    accessSync(path, constants.X_OK);
    return true;
  } catch (cause) {
    // Absence is told by a system error code; anything else is a fault of ours.
    if (typeof (cause as NodeJS.ErrnoException).code !== 'string') throw cause;
    return false;
  }
}
