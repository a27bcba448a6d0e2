/** Words of Plan: what would run, for how long, whether the sun keeps up, when to charge at the wall. */
export const LOADING = 'Reading what Plan rests on.';
export const FAILED = 'What Plan rests on could not be read.';
export const NO_STATION = 'No station yet.';
export const OPEN_SETUP = 'Open Setup';
export const BACK = 'Will it last until then?';

export const EMPTY = 'Nothing is planned yet.';
export const EMPTY_SURE = 'Add what is to run: what was seen plugged in, something common, or a load of your own.';
export const NO_SIZE = 'Its size is not known.';
export const NO_SIZE_SURE = 'Tell the energy on its label, and how long this runs is reckoned.';
export const runsFor = (middle: string, least: string): string => `This runs for ${middle}, at least ${least}.`;
export const tooBig = (name: string): string => `${name} is too big for it.`;
export const tooBigMany = (count: number): string => `${count} loads are too big for it.`;
export const NOT_AT_ONCE = 'Not all of it runs at once.';
export const restRuns = (middle: string, least: string): string =>
  `What is not too big runs for ${middle}, at least ${least}.`;
export const fromFull = (full: string, floor: string): string => `From ${full} down to ${floor}, on the battery alone.`;
export const worstMonth = (month: string, days: number): string =>
  `In ${month} the sun keeps up on ${days === 0 ? 'no day' : days === 1 ? 'one day' : `${days} days`} of ten.`;
export const ALWAYS_KEEPS_UP = 'The sun keeps up on nine days of ten and more in every month.';
export const NO_PLACE = 'Where it stands is not told, so the sun is left out.';

export const MONTHS = 'Sun by month against what a day takes';
export const NEED_LINE = (need: string): string => `a day takes ${need}`;
export const MONTHS_MEAN =
  'each bar holds eight days of ten, the stroke is the middle one; above the line the sun alone carries the day';
export const monthsSay = (need: string, parts: string): string => `A day takes ${need} from the panels. ${parts}`;
export const monthSays = (month: string, low: string, high: string): string => `${month}: ${low} to ${high}.`;
export const MONTH_TABLE = 'Month by month';
export const MONTH_COLUMNS = ['month', 'sun a day', 'mean', 'days of ten', 'dull days', 'known from'] as const;
export const WEATHER_FROM = {
  month: 'own days',
  season: 'own season',
  record: 'own record',
  assumed: 'assumed',
} as const;
export const withDays = (from: string, days: string): string => `${from}, ${days} days`;
export const NO_END = 'no end';
export const range = (low: string, high: string): string => `${low}–${high}`;

export const LOADS = 'What is to run';
export const LOAD_COLUMNS = ['what is to run', 'draws', 'a day', 'on this station'] as const;
export const count = (n: number): string => `${n}\u00a0×`;
export const starts = (watts: string): string => `starts with ${watts}`;
export const hoursADay = (hours: string): string => `${hours} h a day`;
export const ALWAYS_ON = 'always on';
export const MUST_STAY_ON = 'must stay on';
export const VERDICTS = {
  runs: 'runs',
  tooBig: 'too big',
  unknown: 'not known',
} as const;
export const OTHERS_OFF = { continuous: 'runs only with others off', surge: 'starts only with others off' } as const;
export const OTHERS_TOO_MUCH = 'the others alone are too much';
export const offFirst = (names: string): string => `off first: ${names}`;
export const OFF_NEEDED = 'one of them must stay on';
export const tooBigBy = { continuous: 'draws more than it gives', surge: 'its start is too much' } as const;
export const LIMIT_MISSING = 'its limit is not told';
export const LIMITS_MISSING = 'What its AC outlets give is not told:';
export const LIMITS_LINK = 'tell it in Setup';
export const TOTAL = 'All of it';
export const TOTAL_FITTING = 'All but what is too big';
export const CHANGE = 'Change';
export const ADD = 'Add a load';
export const ADD_FROM = 'Begin with';
export const ADD_OWN = 'one of your own';
export const ADD_SEEN = 'seen plugged in';
export const ADD_COMMON = 'common';
export const BEGIN_SEEN = 'Begin with what was seen';
export const unnamed = (watts: string): string => `Draws ${watts}`;
export const FIELDS = {
  name: 'Name',
  powerW: 'Draws while it runs, W',
  startFactor: 'Starts with so many times that',
  hoursPerDay: 'Runs a day, h',
  count: 'How many',
} as const;
export const FIELD_WHY = {
  startFactor: 'Motors draw 4 to 8 times for a moment; lamps and routers 1 (common practice, no source).',
  hoursPerDay: 'All its runs of a day together; 24 where it is always on.',
} as const;
export const WRONG = {
  name: 'Give it a name of 60 letters at most.',
  powerW: 'A number from 0.1 to 20 000.',
  startFactor: 'A number from 1 to 20.',
  hoursPerDay: 'A number from 0 to 24.',
  count: 'A whole number from 1 to 40.',
  dullDays: 'A number from 0.5 to 14.',
  reserve: 'A number from 0 to 95.',
} as const;
export const KEEP = 'Keep';
export const CANCEL = 'Cancel';
export const REMOVE = 'Take it off the list';
export const NOT_KEPT = 'This is not kept:';
export const SOURCES = {
  doe: (low: string, high: string) => `${low} to ${high}: US Department of Energy’s list of appliances.`,
  measured: (low: string, high: string) => `${low} to ${high}: measured plugs of published data sets.`,
  memory: (low: string, high: string) => `${low} to ${high}: from memory, no source.`,
} as const;
export const SOURCE_HOURS = 'Hours a day and starts: common practice, no source. Put in what yours does.';

export const HOW_LONG = 'For how long';
export const FROM_FULL = 'from full';
export const FROM_NOW = 'as it is now';
export const NEEDED_ONLY = 'only what must stay on';
export const spread = (low: string, middle: string, high: string): string => `${middle} (${low} to ${high})`;
export const A_DAY = 'A day takes';
export const atOutlets = (energy: string): string => `${energy} at the outlets`;
export const toPutIn = (energy: string): string => `${energy} to be put in`;
export const ownPart = (energy: string): string => `of it ${energy} for the station itself`;
export const AT_ONCE = 'At once';
export const runningTold = (watts: string): string => `All running: ${watts}`;
export const startingTold = (watts: string): string => `all starting in one moment: ${watts}`;
export const START_APART =
  'That is more than it gives for a moment. When the outlets were off, switch on one after the other.';

export const SMALLEST = 'The smallest that would do';
export const SMALLEST_COLUMNS = ['', 'from this station', 'on paper'] as const;
export const STATION_ROW = 'station';
export const PANEL_ROW = 'panels';
export const YOURS = (station: string, panels: string): string => `Yours: ${station}, ${panels}.`;
export const NO_PANELS_YET = 'no panels told';
export const NO_SUN = 'no sun then';
export const worstIs = (month: string): string => `For ${month}, which asks for most.`;
export const DULL_DAYS = 'Dull days to carry';
export const DULL_DAYS_WHY = 'So many in a row, one day in ten being duller.';
export const PAPER =
  'On paper: the simplified worksheet after IEEE 1013 and 1562, with 88 % for the converter, 90 % of the label, 92 % for charging, 72 % of the panels and a fifth more panel.';
export const PAPER_MORE = 'Paper asks for more panel: it takes a fifth more than the load, and flat losses.';
export const PAPER_LESS_PANEL =
  'Paper asks for less panel: it knows nothing of what the station draws for itself day and night.';
export const PAPER_LESS_STATION =
  'Paper asks for a smaller station: it knows nothing of what the station draws for itself.';
export const PAPER_MORE_STATION = 'Paper asks for a larger station: it takes dull days as days without any sun.';
export const PORT_LIMITS = (watts: string): string =>
  `The ports take ${watts} at most: more panel than that helps only under cloud and in the morning.`;

export const WALL = 'Charging from the wall at the right hours';
export const WALL_MISSING = {
  price: 'Tell Setup what a kilowatt-hour costs, by the hour where it does, and this is reckoned.',
  size: 'Its size is not known, so this is not reckoned.',
} as const;
export const WALL_FLAT = 'Every hour costs the same, so nothing is to be saved by choosing them.';
export const WALL_NOTHING = 'Losses and wear take all that the cheap hours would save, so leave it plugged in.';
export const wallSaves = (middle: string, low: string, high: string, wornOff: boolean): string =>
  `By these hours about ${middle} a month (${low} to ${high}) would be saved, ${wornOff ? 'wear taken off' : 'wear not counted'}.`;
export const WALL_BUSY = 'Reckoning the hours.';
export const ON_WALL = 'at the wall';
export const ON_WALL_DAY = 'day';
export const ALL_DAY = 'all day';
export const NEVER = 'not at all';
export const hours = (from: string, to: string): string => `${from}–${to}`;
export const wallWear = (cycles: string): string => `The battery goes through ${cycles} full cycles a month more`;
export const wearCosts = (money: string): string => `, which wears off ${money} of what it cost.`;
export const WEAR_UNKNOWN = '. Tell Setup what the station cost, and its wear is reckoned in.';
export const wallKeeps = (reserve: string): string => `It never goes below ${reserve}, which is kept for an outage.`;
export const RESERVE = 'Kept for an outage, %';
export const ADVICE_ONLY = 'Advice only: wattkeep switches nothing. Set a timer or do it by hand.';
export const WALL_RESTS = (weeks: string, watts: string): string =>
  `It rests on ${weeks} of your record and on charging with ${watts}.`;
export const WALL_FEW_WEEKS = (watts: string): string =>
  `Fewer than three weeks are on record, so load is taken 30 % up and down. It charges with ${watts}.`;
export const WALL_NO_WEEKS = (watts: string): string =>
  `No week is on record yet, so the list is taken as the load, 30 % up and down, without sun. It charges with ${watts}.`;
export const WALL_ASSUMED = 'What it takes from a wall is assumed: three tenths of its label an hour.';
export const WALL_PASSES =
  'While plugged in, the wall is taken to feed the outlets and the battery to charge until it is full.';

export const WHY = 'Why?';
export const whyChain = (
  share: string,
  label: string,
  held: string,
  mean: string,
  drain: string,
  hours: string,
): string =>
  `${share} of the label’s ${label} lie between full and the floor: ${held}. The list averages ${mean}, for which ${drain} leave the battery with all losses. ${held} last ${hours} at that.`;
export const whyLosses = (own: string, cost: string, worth: string): string =>
  `The station takes ${own} for itself. A watt-hour out costs ${cost} of the label, one that comes in is worth ${worth}.`;
export const LOSSES_LEARNED = (percents: string): string => `That was learned from ${percents} percents of its gauge.`;
export const LOSSES_ASSUMED = 'That is assumed from the label until its gauge has taught more.';
export const whySquare = (limit: string): string =>
  `Near its limit of ${limit} a converter loses more: a square term after the California Energy Commission’s list.`;
export const whyRange =
  'The range holds eight of ten: losses, gauge and each load, which is taken to vary by an eighth, drawn together 400 times.';
export const whyMean = 'Loads that come and go are taken at their mean: a short run may end sooner or later.';
export const whySky =
  'A cloudless day is reckoned for your place and the plane of your panels, known to some 10 %, with air at 20 °C.';
export const whyKeeps =
  'A day keeps up where what comes in is worth what goes out; all of it is taken to go through the battery.';
export const weatherOwn = (days: string): string =>
  `How clear days are comes from ${days} of your own record on which nothing held the panels back.`;
export const ASSUMED = 'What is assumed';
export const ASSUMED_WEATHER = (months: string): string =>
  `Weather of ${months}: anything from dull to clear, each as likely. That has no source.`;
export const ALL_MONTHS = 'all months';
export const ASSUMED_PLANE = 'Panels whose tilt is not told are taken as flat.';
export const ASSUMED_PANELS = 'No panels are told: 100 W are taken, tilted by the latitude towards the equator.';
export const ASSUMED_LIMITS =
  'Limits are the label’s: a hot converter gives less, and some loads draw more volt-amperes than watts.';
export const ASSUMED_CYCLES = 'A station is taken to be good for 3 000 full cycles: common practice, no source.';
export const SIMULATED = 'This station is simulated: its record and its losses are too.';

export const CAUTIONS = 'Before you count on it';
export const MEDICAL =
  'Do not plan on this for a medical device. Ask its supplier and your doctor, have a written plan and a second source of power.';
export const WIRED =
  'What is fixed to the wiring of a house is work for an electrician: a transfer switch, never a cord into a wall socket.';
export const HEAT = 'What heats draws most of all. Use cords made for it, and leave nothing that heats alone.';
export const MANUAL = 'The maker’s manual and local rules come first: this is a reckoning, no protection.';
/** One letter a month on the axis. */
export const MONTH_LETTERS = ['J', 'F', 'M', 'A', 'M', 'J', 'J', 'A', 'S', 'O', 'N', 'D'] as const;
