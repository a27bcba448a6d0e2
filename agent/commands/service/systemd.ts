/**
 * The systemd unit of one account: systemd.service(5) and systemd.exec(5), from memory, checked by systemd-analyze. It
 * uses no setting that needs a space of its own: those fail where such spaces are forbidden to accounts, and would keep
 * bubblewrap from making one for an owner's adapter. Memory stays writable and executable, since Node compiles.
 */
import { WattkeepError } from '#kit';
import { type Remark, sealed } from './seal.ts';

export const UNIT = 'wattkeep.service';
export const UNIT_REMARK: Remark = ['# ', ''];

export interface ServiceOrder {
  /** Node and its arguments, the program and its own: absolute paths. */
  readonly command: readonly string[];
  /** Node may reach Bluetooth by a right of its file, which a process without new privileges would not get. */
  readonly bluetooth: boolean;
}

/** All that can be had without a space of its own; each of them rests on "no new privileges". */
const HARDENED = [
  'NoNewPrivileges=yes',
  'LockPersonality=yes',
  'RestrictRealtime=yes',
  'RestrictSUIDSGID=yes',
  'SystemCallArchitectures=native',
  '# Own names and ports; the list of network cards and of serial ports.',
  'RestrictAddressFamilies=AF_UNIX AF_INET AF_INET6 AF_NETLINK',
  '# What services need, and what makes the space of an adapter. All else fails as if it were not allowed.',
  'SystemCallFilter=@system-service @mount',
  'SystemCallErrorNumber=EPERM',
];

/** glibc hands memory back from 64 KiB on and no longer moves that limit: measured 2 to 3 MB less with ten stations. */
const LEAN = [
  '# Free memory goes back to the system soon.',
  'Environment=MALLOC_TRIM_THRESHOLD_=65536 MALLOC_MMAP_THRESHOLD_=65536',
];

const OPEN_FOR_BLUETOOTH = [
  '# Bluetooth works by a right of the Node.js file (cap_net_raw). NoNewPrivileges, and every setting that brings it,',
  '# would take that right away.',
];

/**
 * @throws WattkeepError USAGE for a path that a unit cannot hold
 */
export function unitText({ command, bluetooth }: ServiceOrder): string {
  const [program = ''] = command;
  if (/["'\\]/.test(program))
    throw new WattkeepError('USAGE', `systemd starts no program of such a path: ${program}`, 'Put Node.js elsewhere.');
  const lines = [
    '[Unit]',
    'Description=wattkeep, the record of a power station',
    'StartLimitIntervalSec=0',
    '',
    '[Service]',
    'Type=notify',
    'NotifyAccess=all',
    `ExecStart=${command.map((word, i) => unitWord(word, i > 0)).join(' ')}`,
    '# Fed by each commit: one that hangs or fails is mended by starting anew.',
    'WatchdogSec=30',
    'Restart=on-failure',
    'RestartSec=5',
    '# Not for what no start can mend: options that are not understood, a record of a newer version.',
    'RestartPreventExitStatus=2 9',
    '# A large record that is rescued or brought up to date takes its time.',
    'TimeoutStartSec=infinity',
    'TimeoutStopSec=20',
    'KillMode=mixed',
    'UMask=0077',
    'LimitCORE=0',
    ...LEAN,
    ...(bluetooth ? OPEN_FOR_BLUETOOTH : HARDENED),
    '',
    '[Install]',
    'WantedBy=default.target',
    '',
  ];
  return sealed(lines.join('\n'), UNIT_REMARK);
}

/**
 * A word as ExecStart takes it: quoted, with %, quotes and backslashes as themselves. A dollar is written twice where
 * variables may stand: anywhere but in the path of the program.
 */
function unitWord(word: string, mayVary: boolean): string {
  if (/\p{Cc}/u.test(word))
    throw new WattkeepError('USAGE', 'A path holds a control character.', 'Choose another folder.');
  const plain = word.replaceAll('\\', '\\\\').replaceAll('"', '\\"').replaceAll('%', '%%');
  return /^[\w./=@:+-]+$/.test(word) ? word : `"${mayVary ? plain.replaceAll('$', '$$$$') : plain}"`;
}

/** The words of ExecStart again; empty where there is none. */
export function commandOf(unit: string): string[] {
  const line = /^ExecStart=(.*)$/m.exec(unit)?.[1] ?? '';
  return [...line.matchAll(/"((?:[^"\\]|\\.)*)"|(\S+)/g)].map(([, quoted, bare], i) => {
    if (quoted === undefined) return bare!;
    const word = quoted.replace(/\\(.)/g, '$1').replaceAll('%%', '%');
    return i === 0 ? word : word.replaceAll('$$', '$');
  });
}

export const isOpenForBluetooth = (unit: string): boolean => !/^NoNewPrivileges=yes$/m.test(unit);
