/** Where a service of this account is described, how it reads and which system programs take it up, by platform. */
import { existsSync, readFileSync } from 'node:fs';
import { posix } from 'node:path';
import { LABEL, PLIST_REMARK, plistText, programOf } from './launchd.ts';
import { type Remark, sealOf } from './seal.ts';
import { commandOf, isOpenForBluetooth, type ServiceOrder, UNIT, UNIT_REMARK, unitText } from './systemd.ts';

/** As `npm start` does: little memory for an agent that stays for months. */
export const NODE_ARGUMENTS: readonly string[] = [
  '--max-semi-space-size=1',
  '--v8-pool-size=1',
  '--no-opt',
  '--max-lazy',
];

/** A system program by name, and its arguments. */
export type SystemCommand = readonly [program: string, ...args: string[]];

export interface ServicePlace {
  readonly file: string;
  readonly remark: Remark;
  /** The link by which it is started with the account; null where there is none. */
  readonly startLink: string | null;
  text(order: ServiceOrder): string;
  commandOf(text: string): string[];
  /** Where one was taken up before; any of them may fail. */
  readonly before: readonly SystemCommand[];
  readonly begin: readonly SystemCommand[];
  /** Before its file is removed. */
  readonly end: readonly SystemCommand[];
  /** After it. */
  readonly forget: readonly SystemCommand[];
}

export interface Surroundings {
  readonly platform: string;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly home: string;
  /** Of the account. */
  readonly uid: number;
}

/** Null where this platform's services are not known. */
export function servicePlace({ platform, env, home, uid }: Surroundings): ServicePlace | null {
  if (platform === 'linux') {
    const told = env.XDG_CONFIG_HOME;
    const config = told !== undefined && posix.isAbsolute(told) ? told : posix.join(home, '.config');
    const folder = posix.join(config, 'systemd', 'user');
    return {
      file: posix.join(folder, UNIT),
      remark: UNIT_REMARK,
      startLink: posix.join(folder, 'default.target.wants', UNIT),
      text: unitText,
      commandOf,
      before: [],
      begin: [
        ['systemctl', '--user', 'daemon-reload'],
        ['systemctl', '--user', 'enable', UNIT],
        // An earlier one may be running as it was described before.
        ['systemctl', '--user', 'restart', UNIT],
        ['loginctl', 'enable-linger'],
      ],
      end: [['systemctl', '--user', 'disable', '--now', UNIT]],
      forget: [['systemctl', '--user', 'daemon-reload']],
    };
  }
  if (platform !== 'darwin') return null;
  const file = posix.join(home, 'Library', 'LaunchAgents', `${LABEL}.plist`);
  const end: ServicePlace['end'] = [['launchctl', 'bootout', `gui/${uid}/${LABEL}`]];
  return {
    file,
    remark: PLIST_REMARK,
    startLink: null,
    text: ({ command }) => plistText(command),
    commandOf: programOf,
    // One that is taken up already is not taken up again (from memory).
    before: end,
    begin: [['launchctl', 'bootstrap', `gui/${uid}`, file]],
    end,
    forget: [],
  };
}

export interface Installed {
  readonly text: string;
  readonly seal: ReturnType<typeof sealOf>;
  readonly command: string[];
  readonly bluetooth: boolean;
}

/** What lies at the place; null where nothing does. */
export function installedAt({ file, remark, commandOf: wordsOf }: ServicePlace): Installed | null {
  if (!existsSync(file)) return null;
  const text = readFileSync(file, 'utf8');
  return { text, seal: sealOf(text, remark), command: wordsOf(text), bluetooth: isOpenForBluetooth(text) };
}
