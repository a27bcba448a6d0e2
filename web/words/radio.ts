/** Words of Bluetooth in Setup: the search, what it heard, and letting a station go. */

export const SEARCH = 'Search for stations';
export const SEARCHING = 'Listening for five seconds.';
export const SEARCH_WHY =
  'Shows what advertises within reach now. A station that another app is connected to is often not heard: close the maker’s app first.';
export const NOTHING_HEARD =
  'Nothing was heard. Switch the station on, bring it closer, close the maker’s app, and search again.';
export const noBluetooth = (detail: string): string => `No Bluetooth: ${detail}.`;
export const heard = (count: number): string => (count === 1 ? 'One heard.' : `${count} heard.`);
export const NAMELESS = 'without a name';
export const HELD = 'another app holds it';
export const CHOOSE = 'Choose';
export const choose = (name: string): string => `Choose ${name}`;
export const CHOSEN = 'Written below. Not saved yet.';
export const madeFor = (adapter: string): string => `for the adapter ${adapter}`;
/** Assigned numbers that an owner may know by name. */
const SERVICES: Readonly<Record<string, string>> = {
  '180f': 'battery service',
  '180a': 'device information',
  '1800': 'generic access',
  '1801': 'generic attribute',
};
/** A long one by its first digits: enough to tell it from its neighbour's. */
export const service = (uuid: string): string =>
  SERVICES[uuid] ?? (uuid.length > 4 ? `service ${uuid.slice(0, 8)}…` : `service ${uuid}`);
/** Common practice, no source: above −60 the same room, below −85 the edge. */
export const strength = (dbm: string, bound: 'near' | 'fair' | 'far'): string => `${bound}, ${dbm} dBm`;

export const LET_GO = 'Let it go for a while';
export const RELEASE = 'Release for 10 minutes';
export const RELEASE_WHY = 'For the maker’s own app or an update. It is taken up again by itself.';
export const PUT_AWAY = 'Put away';
export const PUT_AWAY_WHY = 'For storing it: nothing looks for it and nothing keeps it awake, until you take it out.';
export const TOP_UP = 'A day to top it up, for your calendar';
export const TOP_UP_WHY =
  'Also switched off it slowly loses charge. The file tells what is expected to be left on that day, and what that rests on.';
export const TAKE_UP = 'Take it up again';
export const IS_RELEASED = 'It is released and taken up again by itself.';
export const IS_AWAY = 'It is put away: nothing looks for it.';
