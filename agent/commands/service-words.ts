/** What `wattkeep service` says, and what `doctor` says of it. */
import type { SystemCommand } from './service/place.ts';

export const SERVICE_HELP = `usage: wattkeep service install [--now] [--print] [--data DIR] [--settings FILE]
       wattkeep service remove [--now]
       wattkeep service show [--json]

Has wattkeep started with this computer, for your account alone, and again whenever it fails: by systemd on Linux, by
launchd on macOS (not tried on a Mac yet). It starts the program as it is built now; after an update: npm run build, then
install once more. Without --now only its file is written, and you are told what to run. --print prints that file and
writes nothing. Options such as the port belong into the settings file.

example: wattkeep service install --now
`;

const shown = (commands: readonly SystemCommand[]): string =>
  commands.map(([program, ...args]) => `  ${[program, ...args].join(' ')}\n`).join('');

export const written = (file: string): string => `Written: ${file}\n`;
export const writtenAlready = (file: string): string => `${file} is as it should be.\n`;
export const toRun = (commands: readonly SystemCommand[]): string =>
  commands.length === 0 ? '' : `To have it taken up, run (or add --now):\n${shown(commands)}`;
export const TAKEN_UP = 'It runs, and starts with this computer. wattkeep doctor looks at it.\n';
export const LOOK_HERE =
  'Its link for a browser that may change things is not written into the journal: wattkeep pair --here.\n';
export const NO_SYSTEMD = 'systemd does not run this computer now; the file means something only where it does.\n';
export const NOT_TRIED = 'Not tried on a Mac yet: please tell us what happens.\n';
export const NO_BLUETOOTH =
  'Bluetooth is closed to it, since no station uses it and Node.js has no right to. Should one later, install again.\n';
export const OPEN_BLUETOOTH = 'It is left free to use Bluetooth, so it is hardened less than it could be.\n';

export const removed = (file: string): string => `Removed: ${file}\n`;
export const lingers = (user: string): string =>
  `Your account may still run services while nobody is logged in. If nothing else needs that: loginctl disable-linger ${user}\n`;
export const NOT_INSTALLED = 'No service is installed.\n';

export const notHere = (platform: string): string => `Services of this system (${platform}) are not known to wattkeep.`;
export const NOT_HERE_FIX = 'Have your system start: npm start, in the folder of wattkeep.';
export const foreign = (file: string): string => `${file} was not written by wattkeep; it was left as it is.`;
export const FOREIGN_FIX = 'Move it away, then try again.';
export const changed = (file: string): string => `${file} was changed since it was written; it was left as it is.`;
export const CHANGED_FIX =
  'Keep your changes elsewhere (systemctl --user edit wattkeep) and delete it, then try again.';
export const STILL_ENABLED = 'The service is still started with your account; nothing was removed.';
export const stillEnabledFix = (commands: readonly SystemCommand[]): string =>
  `Add --now, or first run: ${commands.map(words => words.join(' ')).join('; ')}`;
export const failed = (command: SystemCommand, detail: string): string =>
  `${command.join(' ')} did not work${detail === '' ? '.' : `: ${detail}`}`;
export const FAILED_FIX = 'Mend that, or run it in a terminal of the account that wattkeep is to run as.';

export const NOT_INSTALLED_FOUND = 'not installed; wattkeep service install starts wattkeep with this computer';
export const REINSTALL = 'wattkeep service install --now';
export const startsOther = (program: string): string => `it starts ${program}, not this program; run ${REINSTALL}`;
export const startsNothing = (missing: string): string => `it starts ${missing}, which is gone; run ${REINSTALL}`;
export const CHANGED_FOUND = 'its file was changed by hand; remove and install will leave it alone';
export const OTHER_VERSION = `its file is of another version; run ${REINSTALL}`;
export const FOREIGN_FOUND = 'a file of that name was not written by wattkeep';
export const NOT_ENABLED = `it does not start with your account; run ${REINSTALL}`;
export const NO_LINGER = 'it ends when you log out, and starts when you log in; run loginctl enable-linger';
export const BLUETOOTH_SHUT = `a station uses Bluetooth, which is closed to it; run ${REINSTALL}`;
