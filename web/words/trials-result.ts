/** Words of one trial: its figures, where their ranges come from, what spoiled it, what it does not say. */
import type { TrialKind, WireBudgetLine, WireFigure, WireJudgement, WireTrialCurve } from '#messages';

type Spoiler = WireJudgement['spoiledBy'][number];

export const LOADING = 'Reading the trial.';
export const FAILED = 'The trial could not be read.';
/** At the end of a line the amount takes a word with it. */
export const giveOrTake = (amount: string): string => `give or take\u00a0${amount}`;
export const fromTo = (low: string, high: string): string => `from ${low} to ${high}`;
export const TO_THE_MINUTE = 'to the minute';
export const EXACT = 'to the last digit shown';
export const nineteen = 'Ranges hold 19 times in 20.';

export const FIGURES: Record<WireFigure['what'], string> = {
  deliveredWh: 'Delivered, by its own watts',
  deliveredByMeterWh: 'Delivered, by the meter',
  gainErrorPct: 'Its own watts are off by',
  shareOfRatedPct: 'Of the label, by its own watts',
  shareOfRatedByMeterPct: 'Of the label, by the meter',
  perPercentWh: 'A percent gives at the outlets',
  batteryPerPercentWh: 'A percent gives at the battery',
  conversionPct: 'Of the battery’s energy at the outlets',
  meanLoadW: 'Mean load',
  hours: 'Ran for',
  ownDrawW: 'Own draw',
  fixedLossW: 'Fixed loss',
  linearLoss: 'Loss in step with the load',
  squareLossPerKW: 'Loss with the load squared',
  efficiencyPct: 'Gets through',
  minutesTo80: 'To 80 %',
  minutesTo90: 'To 90 %',
  minutesTo100: 'To 100 %',
  takenInWh: 'Went in, by its own watts',
  takenInByMeterWh: 'Went in, by the meter',
  inPerPercentWh: 'A percent takes in',
  peakW: 'Highest input',
  taperFromPct: 'Slows down from',
  taperMinutes: 'Slow part',
  roundTripPct: 'Round trip: out of what went in',
  harvestWh: 'Brought in',
  ofClearSkyPct: 'Of a cloudless day',
  bOfAPct: 'B, of what A brings',
  bOfAPerRatedPct: 'B, of what A brings for each watt of its label',
};
export const SETS = {
  bOfAPct: (a: string, b: string): string => `${b}, of what ${a} brings`,
  bOfAPerRatedPct: (a: string, b: string): string => `${b}, of what ${a} brings for each watt of its label`,
} as const;
export const setTold = (name: string, watts: string): string => `${name}, ${watts} on its label`;
export const atLoad = (name: string, watts: string): string => `${name} at ${watts}`;
export const UNITS: Partial<Record<WireFigure['unit'], string>> = { 'Wh/%': 'Wh', 'W/%': 'W a percent' };

export const AGAINST: Record<WireFigure['against'], string> = {
  ownWatts: 'its own watts',
  meter: 'the meter',
  batterySensors: 'its battery’s volts and amperes',
  percents: 'its percents',
  clock: 'the clock',
  clearSky: 'the model of a clear sky',
  eachOther: 'each other',
};

export const SOURCES: Record<WireBudgetLine['source'], string> = {
  scatter: 'readings that scatter',
  rounding: 'digits that are rounded',
  ownWatts: 'how far its own watts may be off',
  meter: 'how far the meter may be off',
  batterySensors: 'how far its battery sensors may be off',
  wholePercents: 'percents told as whole numbers',
  tickMoment: 'the moment at which a percent changed',
  unevenPercents: 'percents that do not hold alike',
  perPercent: 'what a percent holds',
  gaugeCount: 'the gauge’s own counting',
  bridgedGap: 'a gap that was bridged',
  endMoment: 'the moment of begin and end',
  loadDrift: 'a load that drifted',
  fit: 'the fit of the curve',
  curveShape: 'the shape of the curve',
  clearSky: 'the model of a clear sky',
  panelLabel: 'the label of the panels',
  air: 'the air above',
  warmth: 'how warm the panels were',
  sky: 'a sky that changed',
  repeat: 'what two runs differ by',
  otherResult: 'the other result',
  price: 'the price',
};
export const SHAPES: Record<WireBudgetLine['shape'], string> = {
  normal: 'normal',
  rectangular: 'rectangular',
  triangular: 'triangular',
  threeWay: 'three-way',
};
export const WHY = 'Why?';
export const whyOf = (figure: string): string => `Where the range of “${figure}” comes from`;
export const BUDGET_COLUMNS = ['because of', 'standard uncertainty', 'share'] as const;
export const typeOf = (kind: 'A' | 'B', shape: string): string =>
  kind === 'A' ? 'from scatter' : `not from scatter, ${shape}`;
export const COMBINED = 'together';
export const coverage = (factor: string): string => `Times ${factor} is the range that holds 19 times in 20.`;
export const RESTS_ON = (what: string): string => `Rests on ${what}.`;

export const WHAT: Record<Spoiler['what'], [string, string]> = {
  loadUnplugged: ['The load was unplugged.', 'Begin anew with a full battery, and leave the load plugged in.'],
  loadUnsteady: ['The load was not steady.', 'Use one without thermostat, pump or motor.'],
  otherLoad: ['Another load came on.', 'Leave only the one load plugged in.'],
  sunOnPanels: ['The sun fell on the panels.', 'Take them off or cover them.'],
  mainsBack: ['The wall came back.', 'Take the wall lead off.'],
  inputOff: ['What came in went away.', 'Check the lead, or wait for the sun.'],
  gap: ['Readings were missing.', 'Check the link between station and agent.'],
  tooCold: ['It was too cold.', 'Bring it to where it is warmer than the limit.'],
  tooWarm: ['It was too warm.', 'Give it air, or shade.'],
  switchedOffEarly: ['It switched off early.', 'Look for a saving mode, an overload or a low temperature.'],
  gaugeCorrected: ['The gauge corrected itself.', 'Charge it full once, then begin anew.'],
  gaugeBlind: ['The gauge did not see it.', 'Its percents stood still; a longer time may help.'],
  batteryFull: ['The battery was full.', 'Make room: a full battery takes less than the panels give.'],
  portLimited: ['The port took no more.', 'Its limit was reached: fewer panels, or another port.'],
  clouds: ['Clouds came over.', 'Another day, or another hour.'],
  meterSilent: ['The meter was silent.', 'Check the link of the meter, or type its counts.'],
  meterDisagrees: ['The meter measures something else.', 'Between station and load, nothing else on it.'],
};
/** Where nothing at all should be plugged in, any load is one too many. */
const WITHOUT_LOAD: readonly TrialKind[] = ['charge', 'ownDraw'];
export const whatOf = (kind: TrialKind, what: Spoiler['what']): [string, string] =>
  what === 'otherLoad' && WITHOUT_LOAD.includes(kind)
    ? ['A load came on.', 'Unplug everything from the outlets, then begin anew.']
    : WHAT[what];
/** Of several alike. */
export const timesSeen = (count: string, whole: string | null, most: string | null): string =>
  `${count} times${whole === null ? '' : `, ${whole} in all`}${most === null ? '' : `, ${most} at most`}`;
export const fromToMoment = (from: string, to: string): string => `${from} to ${to}`;
export const withAmount = (happened: string, amount: string): string => `${happened.replace(/\.$/, '')} (${amount}).`;
export const CONSEQUENCE: Record<Spoiler['consequence'], string> = {
  spoils: 'Nothing can be concluded.',
  widens: 'The range is wider for it.',
  noted: 'It changes nothing.',
};

export const CURVES: Record<string, { name: string; x: string; y: string }> = {
  percentByHour: { name: 'State of charge by hour', x: 'h', y: '%' },
  wattsByHour: { name: 'Watts by hour', x: 'h', y: 'W' },
  wattsByPercent: { name: 'Watts by state of charge', x: '%', y: 'W' },
  efficiencyByLoad: { name: 'What gets through, by load', x: 'W', y: '%' },
  clearSkyByHour: { name: 'A cloudless sky', x: 'h', y: 'W' },
};
export const curveName = (of: WireTrialCurve['of']): string => CURVES[of]!.name;
export const BAND = 'The band holds 19 times in 20.';
export const NO_BAND = 'The station’s own word, drawn without a range: how far its gauge may be off is not known.';
export const WITHOUT_BAND = 'As told by the station; how far it may be off is in the figures.';
export const BAND_OF_WATTS = 'The band holds 19 times in 20: its last digit, and how far its own watts may be off.';
export const curveSays = (name: string, points: string, first: string, last: string): string =>
  `${name}: ${points} points, from ${first} to ${last}.`;

export const SPOILED = (what: string): string => `Spoiled. ${what}`;
export const INTERRUPTED = 'Interrupted.';
export const INTERRUPTED_SURE = {
  some: 'It did not come to its end. What was measured until then is below, and is no result of a whole trial.',
  none: 'Nothing was measured.',
} as const;
export const SPOILED_SURE = 'Nothing may be concluded from it.';
export const RUNNING = (name: string, share: string | null): string =>
  share === null ? `${name}: it runs.` : `${name}: ${share} done.`;
export const left = (span: string): string => `About ${span} to go.`;
export const counted = (count: string, wanted: string): string => `${count} of ${wanted} so far.`;
export const SO_FAR = 'So far';

export const SEEN = 'What was seen';
export const NOTHING_SEEN = 'Nothing that disturbs it.';
export const STEP_NAMES = { a: 'A is plugged in', b: 'B is plugged in', away: 'Neither is' } as const;
export const STEP_TITLE = 'Tell what is plugged in';
export const stepTold = (name: string, time: string): string => `${time}: ${name}.`;
export const METER_TITLE = 'Read off the meter';
export const METER_LABEL = 'Count now, Wh';
export const METER_HOW =
  'At the start, once in a while, and at the end: the moment it is sent is the moment it is read.';
export const METER_LAST_TITLE = 'The last count';
export const METER_LAST =
  'Read the meter now, while nothing else has run through it: with the count after the end it has seen all of the trial.';
export const METER_SEND = 'Take it down';
export const METER_WRONG = 'A number of watt-hours, not less than the last one.';
export const END = 'End it now';
export const END_AGAIN = 'Yes, end it now';
export const END_KEEPS = 'What has been measured so far is what there will be.';
export const REMOVE = 'Remove this trial';
export const REMOVE_AGAIN = 'Yes, remove it for good';
export const REMOVE_TELLS = 'Its result and its words are gone then; what was recorded stays in the Ledger.';
export const NOT_DONE = 'This was not done:';

export const FIGURES_TITLE = 'Figures';
export const CONDITIONS = 'Conditions';
export const ID = 'To cite it';
export const versionTold = (version: string): string => `wattkeep ${version}`;
export const CONDITION_NAMES = {
  meanW: 'mean load',
  meanInW: 'mean input',
  tempC: 'battery',
  charge: 'state of charge',
  load: 'the load',
  airTempC: 'air',
  meter: 'meter',
  setA: 'set A',
  setB: 'set B',
  note: 'note',
  when: 'when',
} as const;
export const meterTold = (name: string, limit: string): string => `${name}, within ${limit}`;

export const TELL_MORE = 'Tell more of it';
export const KEEP = 'Keep';

export const NOT_SAID = 'What it does not say';
export const DOES_NOT_SAY: Record<TrialKind, readonly string[]> = {
  usable: [
    'At another load, or in the cold, it is another figure.',
    'By its own watts alone it is as right as these are; a meter says how far off they are.',
  ],
  charge: ['In the cold it takes longer.', 'What went in is not what can come out: see the round trip.'],
  ownDraw: ['With the AC outlets off it draws less.', 'With a load, part of this is in what the converter loses.'],
  converter: [
    'Beyond the largest load tried the curve is not known.',
    'A motor or a heater with its own electronics may fare otherwise.',
  ],
  solar: [
    'Another day has another sky; the model of a clear one is known to some ten percent.',
    'Shade of another season is not in it.',
  ],
  twoSets: ['Only under such a sky and at such a port.', 'Which one lasts longer is not in it.'],
};

export const FILES = 'To take away';
export const REPORT = 'Report, to print';
export const LARGE = 'Large, to show others';
export const SAMPLES = 'Its samples as CSV';
export const AS_SVG = 'This drawing as SVG';
export const AS_PNG = 'This drawing as PNG';
export const PICTURE_FAILED = 'The picture could not be made.';
