/** Every sentence of the command line about sharing, pairing and tokens. */
import type { InvitationAnswer, Scope, SharingAnswer } from '#messages';
import { spelled } from '../sharing/index.ts';

export const SHARE_HELP = `usage: wattkeep share [--json]                        whether it is shared, and where
       wattkeep share on [--interface NAME] [--json]
       wattkeep share off [--json]

Shares the running agent on one network of this computer, for phones and tablets there. It is remembered. Nothing is
shown to anyone before you let them in: wattkeep pair. --data DIR names the agent's data folder.

example: wattkeep share on --interface wlan0
`;

export const PAIR_HELP = `usage: wattkeep pair [--json]               a code for one phone; then asks you here, in a terminal
       wattkeep pair --here [--json]        a link that lets one browser of this computer change things
       wattkeep pair waiting [--json]       who waits to be let in
       wattkeep pair allow ID --scope view | mark | change
       wattkeep pair refuse ID
       wattkeep pair unlock                 after too many wrong codes

A code holds for five minutes and for one phone. Compare the two words with those on the phone before you let it in.
--data DIR names the agent's data folder.

example: wattkeep pair
`;

export const TOKEN_HELP = `usage: wattkeep token create --name NAME [--scope view | mark | change] [--json]
       wattkeep token list [--json]         all who may come in: scripts, phones and browsers
       wattkeep token revoke ID [--json]

A token is shown once. A script sends it as "Authorization: Bearer TOKEN". view reads, mark also marks spots, change
changes everything. --data DIR names the agent's data folder.

example: wattkeep token create --name "Kitchen display" --scope view
`;

/** What each scope is called where a person chooses. */
export const SCOPE_NAMES: Readonly<Record<Scope, string>> = { view: 'look', mark: 'look and mark', change: 'change' };

/** What plain HTTP cannot protect, said wherever more than looking is given. */
export const PLAIN_HTTP =
  'The connection is not encrypted. Whoever is on the same network can read along and take this over, and someone\n' +
  'skilled there can put another page in place of this one. Which programs are started and who may come in stays with\n' +
  'this computer.';

export const LOOK_ONLY_WHY =
  'The connection is not encrypted: whoever is on the same network can read along what is shown.';

export const notAgent = (dataDir: string): string => `No agent is running on ${dataDir}.`;
export const NOT_AGENT_FIX = 'Start it with npm start (or name its folder with --data), then try again.';

export const hereLink = (link: string): string => `To change things from a browser here, open once: ${link}`;

export const sharedOn = (name: string | null, addresses: readonly string[]): string =>
  `Shared on ${name ?? 'the network'}: ${addresses.join(' ')}\nNobody sees anything before you let them in: wattkeep pair.\n`;
export const notShared = 'Not shared: only this computer reaches it.\n';
export const sharedNowhere = (trouble: string): string => `Sharing is on, but not reached now. ${trouble}\n`;
/** As `doctor` says it. */
export const sharedFound = (on: boolean, addresses: readonly string[], trouble: string, sessions: number): string => {
  const may = `${sessions === 0 ? 'nobody else' : sessions} may come in${sessions === 0 ? '' : ' (wattkeep token list)'}`;
  if (!on) return `only this computer; ${may}`;
  return addresses.length === 0 ? `on, but not reached now: ${trouble}` : `${addresses.join(' ')}; ${may}`;
};
export const AGENT_RESTS = 'no agent is running';
export const EVERYWHERE = 'Started on every address of this computer.\n';

export function shareTold({ on, fixed, interface: name, addresses, trouble }: SharingAnswer): string {
  if (!on) return notShared;
  if (addresses.length === 0) return sharedNowhere(trouble);
  return `${fixed ? EVERYWHERE : ''}${sharedOn(name, addresses)}`;
}

/** As a clock here shows it. */
const clockTime = (at: Date): string =>
  [at.getHours(), at.getMinutes()].map(part => String(part).padStart(2, '0')).join(':');

export function invited({ link, code, until }: InvitationAnswer, picture: string): string {
  const [address = ''] = link.split('pair#');
  return (
    `\n${picture}\nPoint the phone's camera at it, or open ${address}pair there and type\n\n    ${spelled(code)}\n\n` +
    `For one phone, until ${clockTime(new Date(until))}. ${LOOK_ONLY_WHY}\n`
  );
}
export const WAITING_FOR_PHONE = 'Waiting for the phone. Ctrl-C ends this; the code goes on.\n';
export const CODE_OVER = 'The code is over: it was used, mistyped too often, or is too old.\n';

export const asks = (name: string, address: string, words: string): string =>
  `\n“${name}” (${address}) asks to be let in. Its screen must show:  ${words}\n`;
export const ASK_ALLOW = 'Let it look? Enter or l: look · m: look and mark · change: change everything · n: no > ';
export const ASK_CHANGE = `${PLAIN_HTTP}\nLet it change everything for the next 24 hours? Type change again, or Enter to let it look only > `;
export const NOT_UNDERSTOOD = 'Type l, m, change or n.\n';
export const allowed = (name: string, scope: Scope): string => `“${name}” may ${SCOPE_NAMES[scope]}.\n`;
/** As it is told where nothing was said before. */
export const allowedSo = (name: string, scope: Scope): string =>
  `${allowed(name, scope)}${scope === 'change' ? `${PLAIN_HTTP}\n` : ''}`;
export const refused = (name: string): string => `“${name}” was not let in.\n`;
export const answeredElsewhere = 'It was answered elsewhere, or waits no longer.\n';

export const NOBODY_WAITS = 'Nobody waits to be let in.\n';
export const waitingLine = (id: string, name: string, address: string, words: string): string =>
  `${id}  ${words.padEnd(18)}  ${name} (${address})\n`;
export const UNLOCKED = 'The wrong codes are forgotten; pairing works again.\n';

export const tokenMade = (id: string, token: string, name: string, scope: Scope): string =>
  `${token}\n\nThe token of “${name}” (${id}), which may ${SCOPE_NAMES[scope]}. It is shown only now.\n` +
  (scope === 'change' ? `${PLAIN_HTTP} Over a network it changes things for 24 hours, then looks.\n` : '');
export const NO_SESSIONS = 'Nobody may come in yet.\n';
export function sessionLine(session: SharingAnswer['sessions'][number]): string {
  const { id, kind, name, scope, here, address, lastSeenAt } = session;
  const where = here ? 'this computer' : kind === 'script' && address === '' ? 'not used yet' : address;
  return `${id}  ${kind.padEnd(7)}  ${SCOPE_NAMES[scope].padEnd(13)}  ${lastSeenAt.slice(0, 16)}Z  ${where.padEnd(15)}  ${name}\n`;
}
export const revoked = (id: string): string => `${id} may no longer come in; its connections are closed.\n`;

export const SEVERAL_NETWORKS = 'This computer is in several networks. Which one is it to be shared on?\n';
export const networkChoice = (n: number, name: string, address: string): string => `  ${n}  ${name}  ${address}\n`;
export const WHICH_NETWORK = 'Number or name > ';
