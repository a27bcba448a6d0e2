/** Words of Outlast: whether it lasts until then, what is plugged in, what would help. */
export { the } from './load-name.ts';

export const LOADING = 'Reckoning with what was seen.';
export const FAILED = 'This could not be reckoned.';
export const NO_STATION = 'No station yet.';
export const OPEN_SETUP = 'Open Setup';

/** Not parted at the end of a line. */
const of20 = (chances: number): string => `${chances === 0 ? 'none' : chances}\u00a0of\u00a020`;
export const reaches = (moment: string, chances: number): string => `It reaches ${moment} in ${of20(chances)}.`;
export const wouldReach = (moment: string, chances: number): string =>
  `If the power failed now, it would reach ${moment} in ${of20(chances)}.`;
export const AT_FLOOR = 'It is at its floor now.';
export const tooOld = (age: string): string => `The last reading is ${age} old, so nothing is promised.`;

/** Why nothing can be said, and what is missing. */
export const SILENT = {
  noStateOfCharge: ['Not told how full it is.', 'Its state of charge is missing. Everything here starts from it.'],
  noPower: ['Not told what it gives.', 'Its output in watts is missing. Everything here rests on it.'],
  noRatedWh: ['Its size is not known yet.', 'Tell its rated energy in Setup, or wait for it to fall by a few percent.'],
  noHistory: [
    'Too early to say.',
    'It needs 20 minutes of readings and a fall of three percent, or a day on record from before.',
  ],
  neverRead: ['Nothing was read yet, so nothing is promised.', 'The view Now says why, and what to do.'],
  stale: ['Nothing is promised now.', 'The station is not being read. What was last seen is below.'],
} as const;

export const EARLY = 'An early answer: it gets better within the hour.';
export const withOff = (what: string, first: boolean): string => (first ? `With ${what} off, ` : `; ${what} off too, `);
export const whatDraws = (watts: string): string => `what draws ${watts}`;
export const SURE_ENOUGH = 'That is sure enough to plan with.';
export const UNTIL = 'Until';
export const UNTIL_DAY = 'Day';
export const UNTIL_TIME = 'Time';
export const FLOOR = 'Floor, %';
export const FLOOR_WRONG = 'A whole number from 0 to 90.';
export const TIME_WRONG = 'Choose a time ahead of now.';

export const DRAWING = 'When the floor is reached';
export const STILL_RUNNING = 'still running';
export const DOT_MEANS = 'each dot is one chance in 20 of reaching the floor about then; filled dots make it';
export const dotsSay = (first: string, middle: string, running: number): string =>
  `The first of 20 dots stands at ${first}, half of them by ${middle}.${running === 0 ? '' : ` ${running} are still running at the end.`}`;
export const ALL_RUNNING = 'All 20 dots are still running at the end.';
export const lowestTold = (level: string, moment: string): string =>
  `Where it gets through, it is lowest at ${level}, about ${moment}.`;
export const stopsTold = (moment: string): string => `The outlets stop about ${moment}.`;

export const PLUGGED_IN = 'What is plugged in';
export const AVERAGE = 'average';
export const WITHOUT = 'without it';
export const NOTHING_SEEN = 'Nothing was seen to draw.';
export const unnamed = (watts: string): string => `Draws ${watts}`;
export const REST = 'All the rest';
export const cycles = (share: string): string => `cycles, on ${share} of the time`;
export const steadySince = (moment: string): string => `steady since ${moment}`;
export const STEADY = 'steady';
export const RARE = (every: string): string => `every ${every} or so`;
export const sometimes = (moment: string): string => `now and then, last ${moment}`;
export const MUST_STAY_ON = 'must stay on';
export const STATION_ITSELF = 'The station itself';
export const ownLearned = (spread: string): string => `learned, ±${spread}`;
export const OWN_ASSUMED = 'assumed until learned';
export const LESS_OFF = 'less with the AC outlets off';
export const offDraws = (watts: string): string => `${watts} with the AC outlets off`;
export const OUTLETS_OFF = 'with the AC outlets off, as they are';
export const WHILE_ON = 'while it is on';
export const longer = (span: string): string => `+${span}`;
export const HARDLY = 'hardly longer';
export const halfTime = (span: string): string => `half the time ${span}`;
export const NAME_IT = 'Name it';
export const CHANGE_IT = 'Change';
export const nameLabel = (watts: string): string => `Name of what draws ${watts}`;
export const QUICK_NAMES = ['Fridge', 'Freezer', 'Router', 'Lamp', 'Heater', 'Pump'] as const;
export const KEEP = 'Keep';
export const CANCEL = 'Cancel';
export const FORGET = 'Forget the name';
export const NAME_WRONG = 'Give it a name of 60 letters at most.';
export const quiet = (name: string, span: string): string =>
  `${name} has not drawn for ${span}, three of its cycles or more. Look at it: the outlets may have switched off.`;

export const GO_TO_PLAN = 'Plan: what would it run, and does the sun keep up?';
export const GET_THERE = 'To get there';
export const useAtMost = (chances: number): string => `For ${chances} chances in 20 use at most `;
export const onAverage = (perDay: string): string => ` on average, or ${perDay} a day.`;
export const likelyUse = (low: string, high: string): string =>
  ` As it was used so far, it is likely to average ${low} to ${high} until then.`;
export const USUAL_DAY = 'Where it stands is not told: the sun is taken as on a usual day by the clock.';
export const noneLeft = 'Even with nothing plugged in it does not get there in 18 of 20.';
export const OR = ' or ';
export const PUT_IN = 'Or put in ';
export const ENOUGH = 'Nothing needs to be put in.';
export const NOT_ENOUGH = 'None of the sources below can bring enough by then.';
export const SOURCES = {
  generator: 'of a generator',
  vehicle: 'of driving',
  wall: 'at a neighbour’s wall',
} as const;
export const SOURCE_WATTS = 'With which watts';
export const SOURCE_LABELS = { generator: 'Generator, W', vehicle: 'Vehicle, W', wall: 'Wall, W' } as const;
export const COMMON_PRACTICE = 'Left empty, usual watts are taken: common practice, not measured.';
export const WATTS_WRONG = 'A number from 1 to 20 000.';
export const atWatts = (watts: string): string => ` (at ${watts})`;

export const SUN_TOMORROW = 'Tomorrow’s sun';
export const sunWould = (good: string, goodChances: number, poor: string, poorChances: number): string =>
  `A good day would bring about ${good}: ${goodChances} in 20. A poor one about ${poor}: ${poorChances} in 20.`;
export const SUN_MISSING = {
  place: 'Tell Setup your place, and the sun is reckoned in.',
  panels: 'Tell Setup your panels, and the sun is reckoned in.',
} as const;

export const WEEK = 'Seven days';
export const WEEK_WHY = 'Coarse steps. Set the sky of a day by hand where you know better.';
export const WEEK_COLUMNS = ['day', 'sky', 'sun', 'at its end', 'still running'] as const;
export const SKIES = { open: 'as seen', good: 'good', middling: 'middling', poor: 'poor' } as const;
export const skyOf = (day: string): string => `Sky, ${day}`;
export const today = 'today';
export const tomorrow = 'tomorrow';
export const inTwenty = (chances: number): string => `${chances} in 20`;

export const TOGETHER = 'Two as one reserve';
export const WITH = 'Together with';
export const ALONE = 'no other';
export const bothReach = (moment: string, chances: number): string => `Both reach ${moment} in ${of20(chances)}.`;
export const moveIt = (what: string, to: string, chances: number): string =>
  `Move ${what} to ${to}, and both get there in ${of20(chances)}.`;
export const NO_MOVE = 'No load would be better off at the other one.';
export const otherSilent = (name: string): string => `Nothing can be said of ${name} yet.`;
export const INDEPENDENT = 'The two are taken to run out independently of each other.';

export const EARLIER = 'How good were earlier answers?';
export const scored = (of: number, held: number, promised: number): string =>
  `Of the last ${of} ranges, ${held} came true; ${promised} were promised.`;
export const NOT_SCORED = 'None has come true or failed yet. The score begins with the first discharge.';

export const WHY = 'Why?';
export const whyRecord = (span: string): string =>
  `What is plugged in goes on as it did in the last ${span} on record, what was recent counting most.`;
export const whyGauge = (ticks: string, own: string): string =>
  `What a percent is worth was learned from ${ticks} of them; the station takes ${own} for itself.`;
export const whyFloor = (floor: string): string =>
  `The floor is ${floor}. Each dot stands for fifteen likely courses of 300.`;
export const WHY_CUT =
  'The questions here are asked of fewer courses than the sentence on Now, so the two may differ a little.';
export const WHY_SURPRISE =
  'Nobody can promise against a surprise: someone who starts an oven or a heater changes all of it.';
export const DOUBTS = {
  gap: 'Readings were missing for a while, so where it stands is less sure.',
  jump: 'The station corrected its own gauge a short while ago.',
  newRegime: 'What is plugged in now is unlike anything before: only the time since then counts.',
  wide: 'The range is wide.',
} as const;

export const SAFETY = 'Before you count on it';
/** In plain words, after FDA, CDC, CPSC, Ready.gov and ESFI; the maker's manual and local rules come first. */
export const SAFETY_LINES = [
  'Do not rely on this for a medical device. Have a written plan and a second source of power. Keep your supplier’s number at hand and tell the power company.',
  'Run an engine generator outdoors only, 6 m (20 ft) or more from doors, windows and vents. Point its exhaust away. Never run it in a garage, even with the door open. Its gas gives no warning and can kill: have alarms that run on batteries.',
  'Never feed the house through a wall socket. It can kill people who work on the lines, and start fires. Use cords to each device, or a transfer switch that an electrician has fitted.',
  'All loads and their start-up surges together must stay under what the station is rated for. Heaters and pumps are the usual surprise. Do not chain power strips. Outdoors use cords made for it.',
] as const;
