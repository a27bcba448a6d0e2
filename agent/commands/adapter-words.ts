/** Words of `wattkeep adapter …`. */
import type { OwnAdapter } from '#messages';

export const ADAPTER_HELP = `usage: wattkeep adapter VERB

An adapter of your own teaches wattkeep a protocol that it does not know: one small file.

  new NAME         begins one in your folder
  capture          records what a station says and is asked, with times
  play CAPTURE     a capture through an adapter: each frame, its reading or why there is none
  check FILE       tries everything the agent relies on
  list             what is in your folder, and whether it runs
  approve NAME     lets one run

wattkeep adapter VERB --help tells more.
`;

export const ADAPTER_NEW_HELP = `usage: wattkeep adapter new NAME [--transport serial|tcp|process|ble] [--out FILE] [--settings FILE] [--json]

Writes NAME.ts into your adapters folder (beside the settings file): a complete adapter that passes its own check, with
a table to fill. NAME is its id: lower-case letters, digits and dashes.

example: wattkeep adapter new bee-box --transport serial
`;

export const begun = (file: string, name: string): string =>
  `${file}\nFill its table, then: wattkeep adapter check ${name}\n`;

export const ADAPTER_LIST_HELP = `usage: wattkeep adapter list [--data DIR] [--settings FILE] [--json]

The adapters in your folder: what each is, what it may send, its SHA-256, and whether it runs.
`;

export const ADAPTER_APPROVE_HELP = `usage: wattkeep adapter approve NAME [--sha256 HASH] [--data DIR] [--settings FILE] [--json]

Lets an adapter of your folder run, for as long as its file stays exactly as it is; a running agent takes it up within
seconds. NAME is its id or its file name. With --sha256 only where the file has that hash. Setup does the same.

example: wattkeep adapter approve bee-box
`;

export const MEND_FIX = 'Mend the file, then try again.';

const STATES: Readonly<Record<OwnAdapter['state'], string>> = {
  asks: 'not approved: it does not run',
  changed: 'changed since it was approved: it does not run',
  approved: 'approved',
  broken: 'cannot be used',
};

const indented = (lines: readonly string[]): string => lines.map(line => `  ${line}\n`).join('');

function needs({ sha256, transports, gives, requests, characteristics }: OwnAdapter): string[] {
  return [
    `SHA-256    ${sha256}`,
    `reads over ${transports.join(', ')}`,
    `gives      ${gives.join(', ')}`,
    ...(requests.length === 0
      ? ['may send   nothing: it only listens']
      : requests.map(({ name, bytes, to }) => `may send   ${name}: ${bytes}${to === null ? '' : ` to ${to}`}`)),
    ...characteristics.map(
      ({ name, uuid, service, use }) => `uses       ${name}: ${uuid} of ${service} (${use.join(', ')})`,
    ),
  ];
}

function ownLine(own: OwnAdapter): string {
  const { file, state, says, id, title, version } = own;
  if (title === null) return `${file}: ${STATES[state]}\n${indented([says])}`;
  return `${id}: ${title}, version ${version} (${file}): ${STATES[state]}\n${indented(needs(own))}`;
}

export const ownLines = (folder: string, adapters: readonly OwnAdapter[]): string =>
  adapters.length === 0 ? `No adapter in ${folder}\n` : `${folder}\n\n${adapters.map(ownLine).join('\n')}`;

export const approvedNow = (own: OwnAdapter): string =>
  `${ownLine(own)}\nA station uses it with: adapter = "${own.id}"\n`;
