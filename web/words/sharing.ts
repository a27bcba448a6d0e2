/** Words of Setup about sharing on the home network: the switch, letting a phone in, and who may come in. */

export const TITLE = 'Sharing on the home network';
export const LOADING = 'Asking whether it is shared.';
export const OFF = 'Only this computer reaches it.';
export const on = (addresses: readonly string[], name: string | null): string =>
  `Those you let in reach it at ${addresses.join(' and ')}${name === null ? '' : ` (${name})`}.`;
export const nowhere = (trouble: string): string => `It is to be shared, but is not reached now. ${trouble}`;
export const FIXED = 'It was started on every address of this computer; that is changed at its start only.';
export const NO_NETWORK = 'This computer is in no network now. Connect it, then it can be shared here.';
export const WHICH = 'Network';
export const network = (name: string, address: string): string => `${name}: ${address}`;
export const SHARE = 'Share it';
export const STOP = 'Stop sharing';
export const WHY =
  'For phones and tablets in the same network. Nobody sees anything before you let them in. It stays so after a restart.';
export const PLAIN_HTTP =
  'The connection is not encrypted: whoever is on that network can read along what is shown to a phone.';

export const LET_IN = 'Let a phone in';
export const LET_NEXT_IN = 'Show a new code';
export const SCAN = 'Point the phone’s camera at this,';
export const orType = (address: string): string => `or open ${address}pair on it and type`;
export const QR = 'QR code with a link for one phone';
export const until = (time: string): string => `For one phone, until ${time}. Then say yes here.`;

export const asks = (name: string, address: string): string => `“${name}” (${address}) asks to be let in.`;
export const COMPARE = 'Its screen must show the same two words:';
export const MAY = 'It may';
export const SCOPES = { view: 'look', mark: 'look and mark', change: 'change' } as const;
export const scopeWhy = {
  view: 'Sees everything, changes nothing.',
  mark: 'Sees everything, and names marks and spots under Aim.',
  change:
    'Changes everything for 24 hours, but not which programs are started and who may come in. Not encrypted: someone on the same network could take this over and change things in its place, and someone skilled there could put another page in place of this one.',
} as const;
export const letIn = (name: string): string => `Let “${name}” in`;
export const refuse = (name: string): string => `Refuse “${name}”`;

export const WHO = 'Who may come in';
export const NOBODY = 'Nobody yet but this computer, and that only to look.';
export const COLUMNS = ['Name', 'May', 'Seen', 'From'] as const;
export const SCRIPT = 'script';
export const HERE = 'this computer';
export const NOT_USED = 'not used yet';
export const changesUntil = (time: string): string => `change until ${time}, then look`;
export const LOOKS_NOW = 'look (its 24 hours are over)';
export const end = (name: string): string => `End “${name}”`;
export const END = 'End';
export const TOKENS = 'A token for a script comes from the command line: wattkeep token create.';

export const locked = (tries: string): string =>
  `${tries} wrong codes were tried. Nobody can be let in until you unlock it; if that was nobody you know, stop sharing.`;
export const UNLOCK = 'Unlock';
