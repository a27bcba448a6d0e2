/** Words of Wiring. The reasons, cautions and what a meter says come with the science; here is what stands around them. */

export const WIRING_LOADING = 'Reading the panels.';
export const WIRING_FAILED = 'The panels could not be read.';
export const WIRING_NO_STATION = 'No station yet.';
export const OPEN_SETUP = 'Open Setup';

const NUMBERS = [
  'No',
  'One',
  'Two',
  'Three',
  'Four',
  'Five',
  'Six',
  'Seven',
  'Eight',
  'Nine',
  'Ten',
  'Eleven',
  'Twelve',
];
export const counted = (n: number): string => NUMBERS[n] ?? String(n);
const low = (text: string): string => `${text.charAt(0).toLowerCase()}${text.slice(1)}`;
export const capital = (text: string): string => `${text.charAt(0).toUpperCase()}${text.slice(1)}`;

/** Names are the owner's: no plural is made of them. */
export const ofKind = (name: string, count: number): string => `${count} × ${name}`;
export const stringHolds = (kinds: readonly string[], panels: number): string =>
  panels === 1 ? kinds.join() : `${kinds.join(' + ')} in series`;
export const manyAlone = (count: number, name: string): string => `${ofKind(name, count)} in parallel`;
export const manyStrings = (count: number, string: string): string => `${low(counted(count))} strings of ${string}`;
export const inSeries = (count: number): string => (count === 1 ? 'one panel' : `${low(counted(count))} in series`);
export const inParallel = (count: number): string => `${low(counted(count))} in parallel`;
export const stringsOf = (strings: number, series: number): string =>
  `${low(counted(strings))} strings of ${low(counted(series))}`;
export const together = (parts: readonly string[]): string => parts.join(' beside ');
export const sentence = (way: string, verdict: string): string => `${capital(way)}: ${verdict}.`;

/** What is not told yet, with the group of Setup where it is. */
export const NOTHING_TO_WIRE = 'Tell Setup your panels and the port.';
export const MISSING = {
  panels: 'Your panels are not told yet: voltage, current and number, as on their label.',
  ports: 'The station’s solar port is not told yet: its limits, as in the manual.',
  place: 'The coldest morning of your place is not told yet.',
} as const;
export const missingLink = (group: keyof typeof MISSING): string =>
  ({ panels: 'Tell the panels', ports: 'Tell the port', place: 'Tell the place' })[group];

export const COLDEST = 'Coldest morning';
export const coldestNotTold = 'Coldest morning not told';
export const kindTold = (count: string, watts: string, parts: readonly string[]): string =>
  `${count} ${watts} ${count === 'one' ? 'panel' : 'panels'}${parts.length === 0 ? '' : `, ${parts.join(', ')}`}`;
export const voc = (text: string): string => `Voc ${text}`;
export const isc = (text: string): string => `Isc ${text}`;
export const portTold = (parts: readonly string[]): string =>
  parts.length === 0 ? 'port not told' : `port ${parts.join(', ')}`;
export const between = (least: string, most: string): string => `${least}–\u2060${most}`;
export const upTo = (most: string): string => `up to ${most}`;
export const kindName = (watts: string): string => `${watts} panel`;

export const STATION = 'station';
export const LINK = '+ to \u2212: adds volts';
export const morePanels = (count: number): string => `${count} more`;
export const moreStrings = (count: number): string => `${count} more strings like these`;
export const drawnSeries = 'In each string + of a panel goes to \u2212 of the next; the ends go to the solar port.';
export const drawnSingle = '+ and \u2212 of the panel go to the solar port.';
export const drawnParallel = 'Branch connectors (dots) join the strings, + with + and \u2212 with \u2212: adds amps.';
export const drawnFuses = (size: string): string => `Each string has a fuse in its + lead, ${size}.`;
export const drawnFusesUnsized = 'Each string needs a fuse in its + lead.';
export const FUSE = 'fuse';
export const kindKey = (letter: string, name: string): string => `${letter}: ${name}`;

export const VOLTS = 'volts';
export const AMPS = 'amps';
export const hardStop = (limit: string): string => `${limit}: a hard stop`;
export const coldOpen = (volts: string, cold: string, most: string | null): string =>
  most === null ? `${volts} at ${cold}, open` : `${volts} at ${cold}, open; at most ${most}`;
export const workingHot = (volts: string): string => `${volts} working, hot`;
export const designCurrent = (amps: string): string => `${amps}: 1.25 × Isc`;
export const rulerSays = (name: string, parts: readonly string[]): string => `${capital(name)}: ${parts.join(', ')}.`;

export const ALL_WAYS = 'All ways';
export const VERDICT = 'verdict';
export const coldShort = (volts: string): string => `${volts} cold`;
export const otherWays = (count: number): string => `${count} other ways`;

export const ASSUMED = 'Taken for this';
export const TOGETHER = 'All ports together';
export const allStations = (count: number): string =>
  count === 2 ? 'Both stations together' : `All ${low(counted(count))} stations together`;
export const oneLot = (panels: number, cold: string | null): string =>
  `${panels === 1 ? 'Their one panel goes' : `Their ${low(counted(panels))} panels are one lot and go`} where they bring most` +
  `${cold === null ? '' : `, for the coldest morning of any place, ${cold}`}.`;
export const stationPort = (station: string | null, port: string): string =>
  station === null ? port : `${station}, ${port}`;
export const EMPTY = 'empty';
export const leftOver = (count: number): string => `${low(counted(count))} left over`;
export const NOT_TOGETHER = 'No safe way for these ports.';
export const SOME_TRIED = 'The best of those tried; there are too many to try all.';

export const BEFORE = 'Before you plug in';
export const NO_EXPECTATION = 'What a meter should show cannot be said before Voc is told.';
export const LIGHT_NOW = 'Light on the panels now';
export const LIGHTS = { bright: 'bright', cloudy: 'cloudy', none: 'none: the sun is down' } as const;
export const NO_LIGHT =
  'The sun is down: a meter shows next to nothing now. Check by daylight, before anything is plugged in.';
export const AIR_NOW = 'Air now';
export const METER = 'The meter shows, V';
export const METER_WHY = 'At the lead’s end, nothing plugged in. With its minus, if it shows one.';
export const NOT_A_NUMBER = 'This needs a number.';
export const notWithin = (least: string, most: string): string => `This needs a number from ${least} to ${most}.`;

export const WHAT_IF = 'What if';
export const WHAT_IF_WHY = 'Tried here only. What Setup holds is not changed.';
export const panelsUsed = (name: string | null): string => (name === null ? 'Panels used' : `Panels used: ${name}`);
export const PORT = 'Port';
export const AS_SETUP = 'As in Setup';
export const tried = 'Other numbers than in Setup are being tried.';
export const CAUTIONS = 'Cautions';
export const ground = (text: string): string => `Rests on: ${text}.`;
export const PRINT = 'Print';
