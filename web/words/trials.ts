/** Words of Trials: the kinds, what a trial is doing, the sentence, the first week. */
import type { TrialKind, WireFirstWeekStep, WireJudgement, WireTrialKind } from '#messages';

type Waits = WireTrialKind['waits'][number];
type Ends = WireTrialKind['ends'][number];

export const LOADING = 'Reading the trials.';
export const FAILED = 'The trials could not be read.';
export const NO_STATION = 'There is no station yet.';
export const OPEN_SETUP = 'Tell Setup which one to read';
export const ALL_TRIALS = 'All trials';

/** Name, what it is for, what to connect. */
export const KINDS: Record<TrialKind, { name: string; purpose: string; connect: string }> = {
  usable: {
    name: 'Usable energy',
    purpose: 'What comes out of the outlets from full to empty, and how much of the label that is.',
    connect: 'Full, nothing coming in, one steady load.',
  },
  charge: {
    name: 'Charge',
    purpose: 'How long it takes to 80, 90 and 100 %, where it slows down, and what goes in for each percent.',
    connect: 'Nearly empty, then the wall or the panels; nothing at the outlets.',
  },
  ownDraw: {
    name: 'Own draw',
    purpose: 'What it uses by itself with the outlets on and nothing connected.',
    connect: 'Outlets on, nothing plugged in, nothing coming in.',
  },
  converter: {
    name: 'Converter curve',
    purpose: 'How much of the battery’s energy reaches the AC outlets, at small loads and at large ones.',
    connect: 'Three or more loads of different size, one after the other.',
  },
  solar: {
    name: 'Solar input',
    purpose: 'What the panels bring in over a day, against what a cloudless sky would give.',
    connect: 'The panels, a battery with room, a day of sun.',
  },
  twoSets: {
    name: 'Two panel sets',
    purpose: 'Which of two sets brings more under the same sky.',
    connect: 'Both sets side by side, in turn at one port or at two ports.',
  },
};
export const NOT_MEASURABLE = {
  switchOver: 'Switch-over time',
  surge: 'Surge',
} as const;
export const tooQuick = (lasts: string, needs: string): string =>
  `cannot be measured here: it is over within ${lasts}, and would have to be read every ${needs}. Readings come once a second at best.`;

export const RESULTS = 'Results';
export const KINDS_TITLE = 'What can be tried';
export const BEGIN = 'Begin';
export const begin = (kind: string): string => `Begin: ${kind}`;
export const takes = (from: string, to: string): string => (from === to ? `${from}\u00a0h` : `${from} to ${to}\u00a0h`);
export const MISSING_HERE = 'This station does not tell';
export const SIMULATED = 'simulated';
export const SIMULATED_LONG = 'Of a simulated station: it says nothing of a real one.';
export const BESIDE = 'Set side by side';
export const besideChosen = (count: number): string => `Set ${count} side by side`;
export const CHOOSE_TWO = 'Choose two or more results of one kind to set them side by side.';
export const chooseFor = (kind: string, date: string): string => `${kind}, ${date}: set beside another`;
export const YEARS_LINK = 'Over the years: does it hold?';
export const COLUMNS = ['trial', 'station', 'result'] as const;
export const OPEN = 'Open it';

/** Quantities that a station may not tell. */
export const QUANTITIES: Record<string, string> = {
  outputPowerW: 'what goes out',
  acOutputPowerW: 'what goes out at the AC outlets',
  stateOfChargePct: 'its state of charge',
  inputPowerW: 'what comes in',
  solarPowerW: 'what comes in from the panels',
};
export const quantity = (name: string): string => QUANTITIES[name] ?? name;

export const PHASES: Record<WireJudgement['phase'], string> = {
  waiting: 'waits',
  running: 'runs',
  done: 'done',
  spoiled: 'spoiled',
  interrupted: 'interrupted',
};

/** What it waits for, and what to do about it. */
export const WAITS: Record<Waits, [string, string]> = {
  readings: [
    'Waits for readings.',
    'None has come since the start. Where none comes for a minute, check the station’s link.',
  ],
  full: ['Waits for a full battery.', 'Charge it to the top, then take the charger and the panels off.'],
  low: ['Waits for a low battery.', 'Let a load draw it down first.'],
  load: [
    'Waits for a steady load.',
    'Plug in one load that draws the same all the time, such as a lamp or a heater without a thermostat.',
  ],
  noLoad: ['Waits for empty outlets.', 'Unplug everything; leave the outlets on.'],
  outletsOn: ['Waits for the outlets.', 'Switch the AC outlets on, with nothing plugged in.'],
  noInput: ['Waits until nothing comes in.', 'Take off the wall lead, and the panels or cover them.'],
  input: ['Waits for something to come in.', 'Plug in the wall lead or the panels.'],
  stateOfCharge: [
    'Waits for the state of charge.',
    'This station has not told it yet; without it nothing can be concluded.',
  ],
  outputPower: ['Waits for what goes out.', 'This station has not told it yet; without it nothing can be concluded.'],
  batteryPower: [
    'Waits for what the battery gives.',
    'This station has not told it yet; without it the curve cannot be made.',
  ],
  loadStands: ['This load is being measured.', 'Leave it plugged in until it is counted.'],
  moreLoads: ['Waits for another load.', 'Plug in one of another size, and leave it until it is counted.'],
  sun: ['Waits for the sun.', 'It begins by itself once light falls on the panels.'],
  setStands: ['This set is being measured.', 'Leave it plugged in for five minutes.'],
  otherSet: ['Waits for the other panel set.', 'Change over to it, then tell so here.'],
};

export const ENDED: Record<Ends, string> = {
  cutOff: 'It ended where the station switched off.',
  floor: 'It ended at the floor that was chosen.',
  narrowEnough: 'It ended by itself once the range was narrow enough.',
  longest: 'It ended after the longest time that was allowed.',
  full: 'It ended when the battery was full.',
  loadsDone: 'It ended after the loads that were asked for.',
  sunset: 'It ended at sunset.',
  roundsDone: 'It ended after the rounds that were asked for.',
  owner: 'It was ended by hand.',
  spoiled: 'It ended because it was spoiled.',
  gap: 'It ended at a gap in the readings.',
};

/** The sentence of the view, from the best trial there is. */
export const delivers = (energy: string, rated: string | null, give: string): string =>
  rated === null ? `It delivers ${energy}, ${give}.` : `It delivers ${energy} of its ${rated}, ${give}.`;
export const drawsItself = (power: string, give: string): string => `By itself it draws ${power}, ${give}.`;
export const chargesIn = (time: string, give: string): string => `It is full after ${time}, ${give}.`;
export const keepsOf = (percent: string, load: string, give: string): string =>
  `At ${load} ${percent} of the energy gets through, ${give}.`;
export const ofClearSky = (percent: string, give: string): string =>
  `The panels brought in ${percent} of a cloudless day, ${give}.`;
export const bringsIn = (energy: string, give: string): string => `The panels brought in ${energy}, ${give}.`;
export const bOfA = (percent: string, b: string, a: string, give: string): string =>
  `${b} brings ${percent} of what ${a} brings, ${give}.`;
export const FIRST_CHARGE = 'First charge it full, once.';
export const FIRST_CHARGE_SURE =
  'Nothing is judged before one full charge: a gauge may be wrong until it has seen full.';
export const NOTHING_TRIED = 'Not measured yet.';
export const NOTHING_TRIED_SURE = 'Usable energy says most: full, one steady load, down to empty.';
export const UNDER_WAY_ONLY = 'Being measured now.';
export const byOwnWatts = (limit: string): string =>
  `By the station’s own watts; that these may be off by ${limit} is in the range.`;
export const byMeter = (meter: string): string => `Held against ${meter}.`;
export const conditions = (date: string, parts: string): string =>
  parts === '' ? `On ${date}.` : `On ${date}, ${parts}.`;
export const at = (...parts: string[]): string => parts.join(', ');
export const AND_OWN = (power: string, give: string): string => `By itself it draws ${power}, ${give}.`;

export const FIRST_WEEK = 'The first week';
export const STEPS: Record<WireFirstWeekStep['do'], string> = {
  fullCharge: 'Charge it full',
  usable: 'Usable energy',
  charge: 'Charge from the wall',
  ownDraw: 'Own draw, over night',
  converter: 'Converter curve',
  solar: 'Solar input, a clear day',
  decide: 'Decide: keep it or give it back',
};
export const STEP_STATES: Record<WireFirstWeekStep['state'], string> = {
  open: '',
  running: 'runs',
  done: 'done',
  late: 'late',
};
export const returnBy = (date: string): string => `It can be given back until ${date}.`;
export const RETURN_UNKNOWN = 'No return date is told; a week is taken.';
export const TELL_RETURN = 'Tell it in Setup';
export const leftOut = (kinds: string): string => `Too little time is left for: ${kinds}.`;
export const BEFORE_CHARGE = 'Nothing is judged before one full charge.';
