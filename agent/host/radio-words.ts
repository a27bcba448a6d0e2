/** Why there is no Bluetooth, and the command that helps; one line each, for the owner. */
import type { LinkFailure } from '#kit';

export interface RadioFailure {
  readonly failure: LinkFailure;
  readonly detail: string;
}

export interface Computer {
  /** As process.platform. */
  readonly platform: string;
  /** Path of Node itself. */
  readonly nodePath: string;
}

export const libraryMissing = ({ platform }: Computer): RadioFailure => ({
  failure: 'unsupported',
  detail:
    platform === 'linux'
      ? 'the Bluetooth library is not built; run: sudo apt-get install build-essential && npm install'
      : 'the Bluetooth library is not built; run: npm install @stoprocent/noble',
});

/** The library is there and does not load: no kernel support, or something nobody foresaw. */
export const libraryFailed = (detail: string): RadioFailure =>
  /EAFNOSUPPORT|address family/i.test(detail)
    ? { failure: 'unsupported', detail: 'the system has no Bluetooth; on Linux try: sudo modprobe bluetooth' }
    : { failure: 'unsupported', detail: `the Bluetooth library does not load: ${detail}` };

/** No adapter answered in time. `warning`: what the library said meanwhile. */
export function adapterSilent(warning: string, { platform }: Computer): RadioFailure {
  const look = platform === 'linux' ? '; see what there is with: bluetoothctl list' : '';
  if (warning === '' || /no such device|ENODEV/i.test(warning)) {
    return { failure: 'notFound', detail: `no Bluetooth adapter is plugged in${look}` };
  }
  return { failure: 'failed', detail: `Bluetooth does not start: ${warning}` };
}

/** The adapter's state, where it is not `poweredOn`; null where it may still become that. */
export function stateFailure(state: string, { platform, nodePath }: Computer): RadioFailure | null {
  switch (state) {
    case 'unauthorized':
      return { failure: 'permission', detail: permissionWords(platform, nodePath) };
    case 'unsupported':
      return { failure: 'unsupported', detail: 'this adapter does not speak Bluetooth LE; plug in one that does' };
    case 'poweredOff':
      return { failure: 'notFound', detail: powerWords(platform) };
    default:
      return null;
  }
}

function permissionWords(platform: string, nodePath: string): string {
  if (platform === 'linux') return `no permission for Bluetooth; run: sudo setcap cap_net_raw+eip ${nodePath}`;
  if (platform === 'darwin') return 'allow Bluetooth for this terminal in System Settings, Privacy & Security';
  return 'no permission for Bluetooth; allow it in the settings of the system';
}

const powerWords = (platform: string): string =>
  platform === 'linux'
    ? 'Bluetooth is off; run: rfkill unblock bluetooth && bluetoothctl power on'
    : 'Bluetooth is switched off in the settings of the system';

/** Never heard within the limit. */
export const notHeard = (limitMs: number): RadioFailure => ({
  failure: 'notFound',
  detail: `not heard for ${limitMs / 1000} s: off, out of reach, or held by another app such as the maker's own`,
});

/** Heard, but it takes no connection: as a station does that somebody else is connected to. */
export const HELD: RadioFailure = {
  failure: 'inUse',
  detail: "heard, but another client holds it: close the maker's app on every phone, then it is taken up again",
};

export const TAKEN: RadioFailure = {
  failure: 'inUse',
  detail: 'the only one heard belongs to another station of yours: tell them apart by name or address',
};

const REASONS: Readonly<Record<number, RadioFailure>> = {
  8: { failure: 'unplugged', detail: 'the station went out of reach' },
  19: { failure: 'ended', detail: 'the station ended the connection' },
  20: { failure: 'ended', detail: 'the station ended the connection: low on resources' },
  21: { failure: 'ended', detail: 'the station ended the connection: it is switching off' },
  62: { failure: 'unplugged', detail: 'the connection could not be established' },
};

/** Reasons of the Bluetooth Core Specification, vol. 1 part F, where the library passes them on. */
export const linkEnd = (reason: unknown): RadioFailure =>
  REASONS[Number(reason)] ?? { failure: 'unplugged', detail: 'the connection was lost' };

export const tookTooLong = (what: string, limitMs: number): RadioFailure => ({
  failure: 'timeout',
  detail: `no answer to ${what} within ${limitMs / 1000} s`,
});
