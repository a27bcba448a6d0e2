/** Words of Setup about adapters that the owner wrote. */

export const TITLE = 'Adapters of your own';
export const where = (folder: string): string =>
  `A .ts or .js file in ${folder} is found within seconds. It runs once you approve it, and stops when its file changes.`;
export const NONE = 'None there now. “wattkeep adapter new NAME” begins one.';

/** How well they are contained, from what the agent found out by trying. */
export function contained(level: 1 | 2, networkOpen: boolean, hindrance: string): string {
  if (level === 2) return 'On this computer they run in a space of their own: no network, none of your files.';
  const network = networkOpen
    ? 'Adapters on this computer can still reach the network'
    : 'Node keeps them from the network, which is a seat belt and no wall';
  return `${network}; they cannot read your files or start programs. ${HINDRANCES[hindrance] ?? ''}`.trim();
}
const HINDRANCES: Readonly<Record<string, string>> = {
  missing: 'Install bubblewrap to give them a space of their own.',
  forbidden: 'Bubblewrap is installed but may not be used here; wattkeep doctor says why.',
  system: 'A space of their own is to be had on Linux only.',
};

export const titled = (title: string, version: string): string => `${title}, version ${version}`;
export const ASKS = 'Not approved: it does not run.';
export const changed = (version: string, day: string): string =>
  `Stopped: the file is not the one you approved on ${day} (version ${version}).`;
export const approved = (day: string, id: string): string => `Approved on ${day}. A station uses it as “${id}”.`;
export const broken = (says: string): string => `It cannot be used. ${says}.`;

export const HASH = 'SHA-256';
export const READS = 'Reads over';
export const GIVES = 'Gives';
export const SENDS = 'May send';
export const SENDS_NOTHING = 'nothing: it only listens';
export const request = (name: string, bytes: string, to: string | null): string =>
  to === null ? `${name}: ${bytes}` : `${name}, to ${to}: ${bytes}`;
export const USES = 'Characteristics';
export const characteristic = (name: string, uuid: string, service: string, use: readonly string[]): string =>
  `${name}: ${uuid} of ${service} (${use.join(', ')})`;
export const approve = (file: string): string => `Approve ${file}`;
export const APPROVE_WHY = 'Approve only what you wrote or have read. It sends nothing but what is listed here.';
