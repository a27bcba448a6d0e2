/** Words for every way in which a station or the agent is not there: what happened, what is being tried, when next. */

export const tryingIn = (span: string): string => `Trying again in ${span}.`;
export const TRYING_NOW = 'Trying again now.';
export const TRY_NOW = 'Try now';

export const AGENT_GONE = 'The agent does not answer.';
export const agentGoneSure = (ageText: string | null): string =>
  ageText === null
    ? 'Is wattkeep running on its machine?'
    : `Is wattkeep running on its machine? The figures below are ${ageText} old and nothing is promised from them.`;
export const CONNECTING = 'Reading the station.';
export const CONNECTING_SURE = 'Waiting for the agent on this machine.';

const FAILURES: Record<string, string> = {
  notFound: 'it is not there',
  inUse: 'another program is using it',
  permission: 'this user may not open it',
  refused: 'it refuses the connection',
  unplugged: 'it was unplugged',
  ended: 'the other side closed the connection',
  timeout: 'it did not answer in time',
  unsupported: 'what it needs is not installed here',
  failed: 'it failed',
  silent: 'it sends nothing',
  unreadable: 'what it sends cannot be read',
  adapterUnknown: 'its adapter cannot be loaded',
  adapterApi: 'its adapter was written for another version',
  adapterCrashed: 'its adapter stopped working',
  adapterSilent: 'its adapter stopped answering',
  adapterMemory: 'its adapter took too much memory',
  adapterMessage: 'its adapter did what it may not do',
};

/** A station that is not read because its adapter waits for the owner. */
const HELD: Record<string, string> = {
  adapterAsks: 'Its adapter waits for your approval.',
  adapterChanged: 'Its adapter was changed and waits for your approval.',
  adapterBroken: 'Its adapter cannot be used as it is.',
  adapterMissing: 'Its adapter is gone from the folder.',
};
const lookAtIt = (detail: string): string =>
  `Look at ${detail} in Setup under “Adapters of your own” and approve it there.`;
const HELD_TODO: Record<string, (detail: string) => string> = {
  adapterAsks: lookAtIt,
  adapterChanged: lookAtIt,
  adapterBroken: detail => `${detail}. Mend the file; Setup shows it under “Adapters of your own”.`,
  adapterMissing: detail => `Put its file back into ${detail}, or choose another adapter in Setup.`,
};
/** The sentence of a station whose adapter may not run, or null where that is not why. */
export const heldSentence = (failure: string | undefined): string | null => HELD[failure ?? ''] ?? null;
export const heldSure = (link: string, detail: string, failure: string | undefined): string =>
  `${HELD_TODO[failure ?? '']?.(detail) ?? ''} Until then ${link} is not opened.`;

const WHAT_TO_DO: Record<string, string> = {
  notFound: 'Check the cable and the name of the port.',
  inUse: 'Close the other program.',
  permission: 'Give this user the right to open it (on Linux often the group dialout).',
  refused: 'Check that the other side is switched on and listening.',
  unplugged: 'Plug it in again; nothing else is needed.',
  unsupported: 'Install it, or choose another transport under Setup.',
  silent: 'Check that the station is on and sends at all.',
};

/** Over Bluetooth the same failures have other causes; the rest of what helps stands in the system's own words. */
const BLE_FAILURES: Record<string, string> = {
  notFound: 'it is not heard',
  inUse: 'another app holds it',
  permission: 'this user may not use Bluetooth',
  refused: 'it takes no connection',
  unplugged: 'it went out of reach',
  ended: 'it ended the connection',
  unsupported: 'Bluetooth cannot be used here',
};
const BLE_TODO: Record<string, string> = {
  notFound: '',
  inUse: '',
  permission: '',
  unsupported: '',
  refused: 'Switch it off and on.',
  unplugged: 'It is looked for; nothing else is needed.',
  ended: 'Close the maker’s app on every phone: most stations talk to one at a time.',
  timeout: 'Bring it closer, or switch it off and on.',
};
const isBle = (transport: string): boolean => transport === 'ble';

/** Why a link was lost, in a few words; '' where it is not known. */
export const whyLost = (failure: string | undefined): string => FAILURES[failure ?? ''] ?? '';

/** The sentence of a lost station; `transport` as in its settings. */
export const disconnected = (failure: string | undefined, transport = ''): string => {
  if (failure === undefined) return 'Disconnected.';
  const told = isBle(transport) ? (BLE_FAILURES[failure] ?? FAILURES[failure]) : FAILURES[failure];
  return `Disconnected: ${told ?? 'it failed'}.`;
};

/** A station that its owner let go. */
export const RELEASED = 'Released.';
export const releasedSure = (span: string): string =>
  `It is taken up again by itself in ${span}; nothing is read until then.`;
export const AWAY = 'Put away.';
export const AWAY_SURE = 'Nothing looks for it and nothing keeps it awake, until you take it out.';
export const TAKE_UP = 'Take it up again';

/** Links are lost again and again, whatever comes in between. */
export const UNSTEADY = 'The connection keeps breaking.';

/** A doubt, not a fault: a steady load in coarse digits looks the same. */
export const unchangedFor = (span: string): string =>
  `Values unchanged for ${span}; they may be frozen: look at its own screen.`;

/** What happened to which link, in one line; `detail` is the system's own text. */
export const whatHappened = (link: string, detail: string | undefined): string => {
  const where = link === '' ? '' : `Reading ${link}.`;
  return detail === undefined || detail === '' ? where : `${where} The system says: ${detail}.`.trim();
};
export const whatToDo = (failure: string | undefined, transport = ''): string =>
  failure === undefined ? '' : ((isBle(transport) ? BLE_TODO[failure] : WHAT_TO_DO[failure]) ?? '');
export const attemptOf = (attempt: number, allowed: number): string =>
  allowed > 0 ? `Try ${attempt} of ${allowed}.` : `Try ${attempt}.`;
export const GIVEN_UP = 'It is left alone until it comes back or you try again.';

export const waitingFirst = (name: string): string => `Waiting for the first reading of ${name}.`;
export const WAITING_TYPED = 'Enter below what its screen shows.';
export const waitingSure = (link: string): string =>
  link === '' ? 'The link is open.' : `${link} is open; nothing readable has come yet.`;
export const rejectedFrames = (count: string): string => `${count} messages could not be read.`;

export const staleSentence = (span: string): string => `The last reading is ${span} old.`;
export const staleSure = (percent: string | null, limit: string | null): string => {
  const then = percent === null ? '' : `It said ${percent} then. `;
  const usual = limit === null ? '' : ` A reading is due every ${limit} at the latest.`;
  return `${then}Nothing is promised until the next one comes.${usual}`;
};
