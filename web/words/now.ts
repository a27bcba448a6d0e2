/** The sentence of the Now view and the line under it. The careful end comes first. */

/** A span of moments already written out: `careful` is what is promised, `likely` the middle. */
export interface Told {
  careful: string;
  likely: string | null;
}

export const lasts = ({ careful, likely }: Told): string =>
  likely === null || likely === careful
    ? `At least until ${careful}.`
    : `At least until ${careful}, more likely ${likely}.`;
export const lastsLong = (careful: string): string => `At least until ${careful}; the end is not in sight.`;
export const fills = ({ careful, likely }: Told, full: string): string =>
  likely === null || likely === careful ? `${full} by ${careful}.` : `${full} by ${careful}, more likely ${likely}.`;
export const fillsLater = (likely: string, full: string): string => `${full} perhaps by ${likely}; it may take longer.`;
export const FULL = 'Full';
export const atCeiling = (percent: string): string => `At ${percent}`;
/** On mains everything is said for the moment the mains fail. */
export const ifPowerFailed = (sentence: string): string =>
  `If the power failed now: ${sentence.charAt(0).toLowerCase()}${sentence.slice(1)}`;

export const betweenWords = {
  lead: 'Four times in five between ',
  and: ' and ',
  onlyLow: 'Nine times in ten later than ',
};
export const assuming = (part: string): string => `, if use goes on like ${part}.`;
export const thenFloor = (floor: string): string => ` Then the floor of ${floor} is reached`;
export const outletsStop = '; the outlets would stop about ';
export const outletsStopUnknown = '.';
export const EARLY = ' An early estimate: there are not many readings yet.';
export const untilSunset = (time: string): string => ` Sun is counted until ${time}.`;

export const STEADY = 'No end in sight for two days.';
export const steadySure = (part: string): string =>
  `In nine of ten likely courses what is left and what comes in carry it that long, if use goes on like ${part}.`;
export const atFloor = (floor: string): string => `At the floor of ${floor}.`;
export const belowFloorStops = (time: string): string => `The outlets would stop about ${time}.`;
export const AT_FLOOR_SURE = 'What is left below the floor is yours to use or to keep.';
export const fullNow = (percent: string): string => `Full, ${percent}.`;
export const FULL_SURE = 'It takes in no more than is going out.';

/** Why nothing can be promised, and what would change it. */
export const cannotSay = {
  noStateOfCharge: {
    sentence: 'How long it lasts cannot be told.',
    sure: 'The station leaves out its state of charge. What comes in and goes out is shown below.',
  },
  noPower: {
    sentence: 'How long it lasts cannot be told.',
    sure: 'The station leaves out what comes in or what goes out.',
  },
  noRatedWh: {
    sentence: 'How long it lasts cannot be told yet.',
    sure: 'Tell the energy on its label (Wh) under Setup, or wait until a few percent have gone.',
  },
  noHistory: {
    sentence: 'Too early to say.',
    sure: 'It takes twenty minutes of readings and three percent gone, or a day of readings before.',
  },
  stale: { sentence: 'How long it lasts cannot be told now.', sure: 'The estimate is being made anew.' },
  waiting: { sentence: 'Too early to say.', sure: 'The first estimate is being made.' },
} as const;

/** Before anything was learned: what the label says, and that it is only that. */
export const byLabel = (low: string, high: string): string =>
  ` By its label and the load of the last minutes alone: somewhere between ${low} and ${high}.`;
/** What makes a range less sure than usual. */
export const doubts = {
  gap: ' Readings were missing for a while; the next percent settles where it stands.',
  jump: ' The station has just corrected its state of charge.',
  newRegime: ' What is plugged in now is unlike anything before: nobody can promise much yet.',
  wide: ' The range is wide: what is plugged in changes a lot.',
} as const;

export const NO_STATION = 'No station yet.';
export const NO_STATION_SURE = 'Three steps to the first reading:';
export const NO_STATION_STEPS = [
  'Connect the station to this machine, or set up a program that prints its readings.',
  'Open Setup and say which port or program it is. No cable? Choose “typed” and enter three numbers now and then.',
  'Come back here. The first reading shows at once; how long it lasts follows within minutes.',
];
export const TO_SETUP = 'Open Setup';

export const outageSince = (time: string): string => ` The mains failed at ${time}.`;
export const typedBefore = (span: string): string => ` From numbers typed ${span} ago.`;
export const faultTold = (fault: string): string => ` The station reports a fault: ${fault}.`;

export const WHY = 'Why?';
export const WHY_TITLE = 'What this rests on';
export const whyMeasured = (percent: string, input: string, output: string, at: string): string =>
  `Measured at ${at}: ${percent} left, ${input} coming in, ${output} going out.`;
export const whyWindow = (span: string, input: string, output: string, coverage: string): string =>
  `Mean of the last ${span}: ${input} in, ${output} out (${coverage} of it recorded).`;
export const whyRange =
  'The range comes from 300 likely courses of the load and the sun, strung from what was recorded; nine in ten last beyond the careful end.';
export const whyScore = (held: string, of: string): string =>
  `Of the last ${of} ranges ${held} came true; eight in ten are promised.`;
export const whyLearned = (perPct: string, sd: string, own: string, ownSd: string, ticks: string): string =>
  `Learned from ${ticks} percents: this station delivers ${perPct} a percent (±${sd}) and draws ${own} for itself (±${ownSd})`;
export const WITH_OUTLETS_OFF = ' with the AC outlets off; with them on it is another figure';
export const whyRated = (energy: string): string => `Energy on the label: ${energy}.`;
export const whyLosses = (idle: string, conversion: string, charging: string): string =>
  `Taken until learned: the station itself draws ${idle}; each watt-hour going out costs ${conversion}; of what comes in ${charging} is stored.`;
export const whySun = (time: string): string => `Input from the sun is counted until ${time}.`;
export const WHY_USUAL_DAY =
  'Where it stands is not told: sun is expected from 06:30 to 18:30 as on a usual day. Tell its place in Setup, and the real sky is taken.';
export const whyFloor = (floor: string, cutoff: string): string =>
  `Your floor is ${floor}; the station itself stops at ${cutoff}.`;

export const sourceQuestion = (power: string): string => `${power} are coming in. From where?`;
export const SOURCE_WHY = 'Until this is told none of it counts as harvest.';
export const SOURCES = { sun: 'Sun', wall: 'Wall', vehicle: 'Vehicle', generator: 'Generator' } as const;

export const TYPED_TITLE = 'Numbers from the station’s screen';
export const TYPED_SEND = 'Enter these numbers';
export const TYPED_DONE = 'Entered.';
export const TYPED_FIELDS = {
  inputPowerW: { label: 'coming in', unit: 'W' },
  outputPowerW: { label: 'going out', unit: 'W' },
  stateOfChargePct: { label: 'left', unit: '%' },
} as const;
export const typedBad = (label: string, most: string): string => `“${label}” needs a number from 0 to ${most}.`;
