/** Words of Aim: is this spot better than the last one? */
import type { WireMark, WireVerdict } from '#messages';

type Limit = NonNullable<WireVerdict['limitedBy']>;
type NotRanked = Exclude<WireMark['why'], 'ok'>;

export const LOADING = 'Reading the station.';
export const NO_STATION = 'No station yet.';
export const OPEN_SETUP = 'Open Setup';

export const SKY = { steady: 'sky steady', unsteady: 'sky unsteady', unknown: 'sky not judged yet' } as const;
export const panelsTold = (panels: readonly string[]): string => `Panels · ${panels.join(' + ')}`;
export const panelOf = (count: number, ratedW: string): string => (count === 1 ? ratedW : `${count} × ${ratedW}`);
export const heldAgainst = (reference: string): string => `beside ${reference}, which stands still`;
export const OTHER_PORT = 'the other port';
export const COMING_IN = 'coming in';
export const fromSun = 'from the sun';

/** Verdicts. What stands in strong type comes first. */
export const NONE = ['Nothing marked yet.', ' Mark this spot, move the panels, and the next spot is held against it.'];
export const ONE_ONLY = (letter: string): [string, string] => [
  `${letter} is marked.`,
  ' Move the panels, hold still, and mark the next spot.',
];
export const DARK = ['No sun on the panels.', ' Nothing can be held against another spot now.'];
export const SETTLING = ['The panels were moved.', ' The station looks for their best again: hold still.'];
export const HOLDING = ['Hold still.', ' It is not long enough yet to tell.'];
export const CLOUDS = ['Clouds are passing: hold still for a minute.', ' Nothing is ranked from a changing sky.'];
export const goBack = (than: string | null): [string, string] =>
  than === null
    ? ['The sky went on changing.', ' Go back to the spot before and mark it again.']
    : [`Go back to ${than} and mark it again.`, ' The sky went on changing in between.'];
export const WARMING = ['The panels still warm up.', ' A panel just turned to the sun flatters at first: hold still.'];
export const holdAbout = (span: string): string => ` About ${span} more.`;
const LIMITS: Record<Limit, string> = {
  full: 'the battery is full',
  taper: 'the battery is nearly full and takes less and less',
  port: 'the port takes no more',
  cold: 'the battery is too cold to charge',
  owner: 'the limit you set holds it back',
  load: 'what is plugged in takes less than the panels could give',
};
export const limited = (by: Limit | null): [string, string] => [
  by === null ? 'The station takes less than the panels could give.' : `Nothing can be ranked: ${LIMITS[by]}.`,
  by === null ? ' Nothing can be ranked until that is over.' : ' What comes in says nothing of the spot now.',
];
export const HERE = 'Here';
export const better = (here: string, than: string, watts: string): string =>
  `${here} is better than ${than} by ${watts}`;
export const worse = (here: string, than: string, watts: string): string => `${here} is worse than ${than} by ${watts}`;
export const alike = (here: string, than: string): string => `${here} and ${than} are alike`;
export const giveOrTake = (watts: string): string => `, give or take ${watts}`;
export const byChance = (difference: string, range: string): string =>
  `: ${difference} between them, give or take ${range}, may be chance`;
/** What the sun did meanwhile is not the spot's merit. */
export const climbed = (watts: string): string => `, after taking out the sun’s own climb of ${watts}`;
export const sank = (watts: string): string => `, after making up for the ${watts} that the sun’s own sinking took`;
export const NO_INPUT = [
  'This station tells no watts coming in.',
  ' Without them there is nothing to hold one spot against another by.',
];
export const TYPED = ['Numbers typed by hand are too slow to aim by.', ' Read the screen of the station itself.'];
export const NEVER_READ = ['Nothing was read yet.', ' Nothing is said of this spot until a reading comes.'];
export const notRead = (age: string): [string, string] => [
  `The last reading is ${age} old.`,
  ' Nothing is said of this spot until the next one comes.',
];

export const DRAWING = 'The last minutes';
export const ago = (minutes: number): string => `${minutes} min ago`;
export const NOW = 'now';
export const NO_DRAWING = 'nothing came in the last minutes';
export const drawingSays = (minutes: number, low: string, high: string, marks: string): string =>
  `The last ${minutes} min: between ${low} and ${high} came in.${marks === '' ? '' : ` Marked: ${marks}.`}`;

export const MARKS = 'Marked, best first';
export const NOT_RANKED = 'Not ranked';
export const WHY_NOT: Record<NotRanked, string> = {
  limited: 'the station took less than the panels could give',
  unsteady: 'clouds were passing',
  short: 'it stood there too short',
  old: 'too long ago for the light of now',
  dark: 'there was no sun',
  otherPanels: 'it was made with other panels',
};
export const measured = (watts: string, range: string, time: string): string =>
  `Measured ${watts}, give or take ${range}, at ${time}.`;
export const sameAs = (letter: string): string => `At the same place as ${letter}.`;
export const rangeOf = (range: string): string => `give or take ${range}`;
export const NAME = 'Name of this spot';
export const NAME_WHY = 'A named spot is learned from: its sun and shade by the clock.';
export const NAME_WRONG = 'A name has 1 to 40 letters.';
export const NOTE = 'Note';
export const NOTE_WRONG = 'A note has at most 400 letters.';
export const KEEP = 'Keep';
export const CANCEL = 'Cancel';
export const BACK_HERE = (letter: string): string => `The panels are back at ${letter}: mark it again`;
export const takeBack = (letter: string): string => `Take back ${letter}`;
export const NEW_WALK = 'New walk';
export const NEW_WALK_WHY = 'A new walk begins at A. What was marked before stays in the record.';

export const MARK = 'Mark this spot';
export const marked = (letter: string, watts: string, range: string): string =>
  `${letter} is marked: ${watts}, give or take ${range}.`;
/** Why a mark was not made. */
export const NOT_MARKED: Record<NotRanked, string> = {
  limited: 'Not marked: the station takes less than the panels could give.',
  unsteady: 'Not marked: clouds are passing. Hold still for a minute and mark again.',
  short: 'Not marked: it stood too short. Hold still for some seconds and mark again.',
  old: 'Not marked: no reading is new enough.',
  dark: 'Not marked: there is no sun on the panels.',
  otherPanels: 'Not marked: the panels were changed in Setup meanwhile.',
};
/** Kept all the same, unranked. */
export const markedUnranked = (letter: string, why: NotRanked): string =>
  `${letter} is marked, not ranked: ${WHY_NOT[why]}.`;
export const TONE = 'Tone';
export const TONE_STOP = 'Stop';
export const TONE_ENDED = 'The tone stopped by itself after ten minutes.';
export const NO_SOUND = 'This browser gives no sound.';
export const SPEAK = 'Speak the watts every 5 s';
export const spokenWatts = (watts: number): string => `${watts} watts`;
export const HOW_TO_MARK = 'How to mark spots from here';
export const MAY_NOT_HERE =
  'This browser may only look. Open in it, once, the link that wattkeep printed below its address when it started; “wattkeep pair --here” prints a new one.';
export const MAY_NOT_PHONE =
  'This phone may only look. On wattkeep’s own computer open Setup, “Sharing on the home network”, and let it in once more with “look and mark”.';

export const STANDING = 'Where the panels stand now';
export const ELSEWHERE = 'somewhere else';
export const ELSEWHERE_WHY = 'Somewhere without a name teaches nothing.';
export const NO_SPOTS = 'No spot has a name yet. Name one of the marks, or add one here.';
export const ADD_SPOT = 'Add a spot';
export const SPOT_NAME = 'Its name';
export const ADD = 'Add';
export const TILT = 'Tilt, °';
export const TURN = 'Facing, ° from true north';
export const TILT_WRONG = 'A number from 0 (flat) to 90 (upright).';
export const TURN_WRONG = 'A number from 0 (north) over 90 (east) and 180 (south) to 360.';
export const rise = (centimetres: string): string => `${centimetres} cm up for each metre of panel`;
/** Sixteen winds, clockwise from north. */
export const WINDS = [
  'north',
  'north-north-east',
  'north-east',
  'east-north-east',
  'east',
  'east-south-east',
  'south-east',
  'south-south-east',
  'south',
  'south-south-west',
  'south-west',
  'west-south-west',
  'west',
  'west-north-west',
  'north-west',
  'north-north-west',
] as const;
export const CARRY = 'Carry the simulated panels to';

export const SLEEPS = 'This browser lets the screen sleep: set the phone to keep it on.';
export const SAFETY =
  'Panels are sails: mind wind, ladders and power lines, and stop where you would have to lean out. They are live whenever light falls on them. At thunder leave panels and cables alone.';
