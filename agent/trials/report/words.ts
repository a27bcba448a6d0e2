/** Words of a report: kinds, figures, what spoils, where a range comes from, the method, and what it does not say. */
import type { WireBudgetLine, WireDifference, WireFigure, WireJudgement, WireTrialCurve } from '#messages';

export const KIND_NAMES: Readonly<Record<string, string>> = {
  usable: 'Usable energy',
  ownDraw: 'Own draw',
  converter: 'Converter curve',
  charge: 'Charge',
  solar: 'Solar input',
  twoSets: 'Two panel sets',
};

export const FIGURE_NAMES: Readonly<Record<WireFigure['what'], string>> = {
  deliveredWh: 'Delivered, by its own watts',
  deliveredByMeterWh: 'Delivered, by the meter',
  gainErrorPct: 'Its own watts against the meter',
  shareOfRatedPct: 'Of the energy on the label, by its own watts',
  shareOfRatedByMeterPct: 'Of the energy on the label, by the meter',
  perPercentWh: 'A percent, at the outlets',
  batteryPerPercentWh: 'A percent, at the battery',
  conversionPct: 'Out at the outlets of what the battery gave',
  meanLoadW: 'Mean load',
  hours: 'Duration',
  ownDrawW: 'Own draw',
  fixedLossW: 'Loss at any load',
  linearLoss: 'Loss in proportion to the load',
  squareLossPerKW: 'Loss with the square of the load',
  efficiencyPct: 'Efficiency',
  minutesTo80: 'To 80 %',
  minutesTo90: 'To 90 %',
  minutesTo100: 'To 100 %',
  takenInWh: 'Taken in, by its own watts',
  takenInByMeterWh: 'Taken in, by the meter',
  inPerPercentWh: 'Taken in for a percent',
  peakW: 'Highest power',
  taperFromPct: 'Tapers from',
  taperMinutes: 'Taper lasts',
  roundTripPct: 'Out of what was taken in',
  harvestWh: 'From the sun',
  ofClearSkyPct: 'Of a clear sky',
  bOfAPct: 'B of A',
  bOfAPerRatedPct: 'B of A, for each rated watt',
};

/** Within a sentence. */
export const LEAD_NAMES: Readonly<Partial<Record<WireFigure['what'], string>>> = {
  deliveredByMeterWh: 'delivered',
  deliveredWh: 'delivered',
  ownDrawW: 'draws for itself',
  takenInWh: 'took in',
  minutesTo100: 'is full after',
  ofClearSkyPct: 'share of a clear sky',
};
export const byOwnWatts = (limitPct: number, range: string): string =>
  `By its own watts, presumed to be off by ${limitPct} % at most either way: that is in the range. Were they exact: ${range}.`;
/** What the watts of a trial are the mean of. */
export const meanOf = (kind: string): string => (kind === 'charge' || kind === 'solar' ? 'Mean input' : 'Mean load');
export const restsOn = (what: string): string => `Rests on ${what}.`;
export const NO_FIGURES = 'There are none.';
export const TO_THE_MINUTE = 'to the minute';
export const timesSeen = (count: number): string => `, ${count} times`;
export const inAll = (whole: string, most: string): string => `${whole} in all, ${most} at most`;
export const BAND = 'The band is the range.';
export const BAND_OF_WATTS = 'The band is the range: its last digit, and how far its own watts may be off.';
export const NO_BAND = 'The station’s own word, drawn without a range: how far its gauge may be off is not known.';
export const smaller = (count: number): string => (count === 1 ? 'a smaller one' : `${count} smaller ones`);
export const SHAPES: Readonly<Record<WireBudgetLine['shape'], string>> = {
  normal: 'normal',
  rectangular: 'rectangular',
  triangular: 'triangular',
  threeWay: 'three values',
};

export const SOURCE_NAMES: Readonly<Record<WireBudgetLine['source'], string>> = {
  scatter: 'scatter of the readings',
  rounding: 'last digit of its watts',
  ownWatts: 'how far its own watts may be off',
  meter: 'limit of error of the meter',
  batterySensors: 'its battery volts and amperes',
  wholePercents: 'whole percents',
  tickMoment: 'moment at which a percent changed',
  unevenPercents: 'percents that hold unlike energy',
  perPercent: 'what a percent holds',
  gaugeCount: 'how its gauge counts',
  bridgedGap: 'a short gap, bridged',
  endMoment: 'moments of beginning and end',
  loadDrift: 'drift of the load',
  fit: 'fit of the curve',
  curveShape: 'shape of the curve',
  clearSky: 'model of the clear sky',
  panelLabel: 'label of the panels',
  air: 'air and haze',
  warmth: 'warmth of the cells',
  sky: 'the sky between two rounds',
  repeat: 'what two runs of one station differ by',
  otherResult: 'the other result',
  price: 'the price',
};

export const SPOILER_NAMES: Readonly<Record<WireJudgement['spoiledBy'][number]['what'], string>> = {
  loadUnplugged: 'the load was unplugged',
  loadUnsteady: 'the load was not steady',
  otherLoad: 'another load ran',
  sunOnPanels: 'sun came in',
  mainsBack: 'the wall charged it',
  inputOff: 'the input stopped',
  gap: 'no readings',
  tooCold: 'colder than it is meant for',
  tooWarm: 'warmer than it is meant for',
  switchedOffEarly: 'outlets were switched off early',
  gaugeCorrected: 'its gauge corrected itself',
  gaugeBlind: 'its gauge stood still',
  batteryFull: 'the battery was full',
  portLimited: 'the input was at its limit',
  clouds: 'clouds',
  meterSilent: 'the meter told nothing',
  meterDisagrees: 'the meter measures something else',
};

export const CONSEQUENCES = {
  spoils: 'nothing is concluded',
  widens: 'it is in the range',
  noted: 'it changes nothing',
} as const;

export const PHASES: Readonly<Record<WireJudgement['phase'], string>> = {
  waiting: 'not begun',
  running: 'under way: what is told is so far',
  done: 'done',
  spoiled: 'spoiled: nothing is concluded',
  interrupted: 'interrupted: what was measured before stands',
};

export const ENDS: Readonly<Record<NonNullable<WireJudgement['endsBecause']>, string>> = {
  cutOff: 'the station switched off',
  floor: 'the floor was reached',
  narrowEnough: 'the range was narrow enough',
  longest: 'the longest time was over',
  full: 'it was full',
  loadsDone: 'all loads were measured',
  sunset: 'the sun was gone',
  roundsDone: 'all rounds were done',
  owner: 'its owner ended it',
  spoiled: 'it was spoiled',
  gap: 'readings were missing for too long',
};

export const AGAINST: Readonly<Record<WireFigure['against'], string>> = {
  ownWatts: 'own watts',
  meter: 'a meter',
  batterySensors: 'battery sensors',
  percents: 'its percents',
  clock: 'the clock',
  clearSky: 'the model of a clear sky',
  eachOther: 'each other',
};

export const CURVE_NAMES: Readonly<Record<WireTrialCurve['of'], { name: string; x: string; y: string }>> = {
  percentByHour: { name: 'State of charge', x: 'hours', y: '%' },
  wattsByHour: { name: 'Power', x: 'hours', y: 'W' },
  wattsByPercent: { name: 'Power by state of charge', x: '%', y: 'W' },
  efficiencyByLoad: { name: 'Efficiency by load', x: 'W', y: '%' },
  clearSkyByHour: { name: 'Clear sky', x: 'hours', y: 'W' },
};

export const MINDS: Readonly<Record<WireDifference['because'][number], string>> = {
  load: 'the loads are unlike',
  temperature: 'the temperatures are unlike',
  range: 'the ranges of charge are unlike',
  ownWattsOnly: 'each rests on its own station’s watts',
  oneMeter: 'only one of them had a meter',
  otherMeter: 'the meters are not the same',
};

export const VERDICTS = {
  differs: 'differ by more than their uncertainty',
  noDifference: 'no difference found',
  notComparable: 'not comparable',
} as const;

const METHODS: Readonly<Record<string, string>> = {
  usable:
    'Charged full, unplugged, one steady load until the station switches off or its floor is reached. Energy is the sum of power over time between readings (trapezium rule); short gaps are bridged and widen the range.',
  ownDraw:
    'Outlets on, nothing connected. The draw is the energy that whole percents stand for, timed from tick to tick, over the hours between.',
  converter:
    'Loads of different size, each held for some minutes. What the battery gives is held against what goes out; a fixed, a linear and a square term are fitted by weighted least squares (JCGM 100:2008, H.3).',
  charge:
    'From near empty to full. Energy in and the time to each level; the taper begins where the power falls for good.',
  solar: 'The watts of a day held against what a cloudless sky would have given these panels where they stand.',
  twoSets:
    'Two panel sets one after another in turns (A-B-A), or at once on two ports; each round of B is held against the rounds of A around it.',
};
export const methodOf = (kind: string): string => METHODS[kind] ?? '';

export const RANGES =
  'Each range holds 19 times in 20. All that makes a figure unsure is a term with its own shape; the terms are put together as distributions (JCGM 101:2008) and as combined standard uncertainty (JCGM 100:2008, 5.1.2); where few readings stand behind a term the range is widened by Student’s t at the effective degrees of freedom (JCGM 100:2008, G.4). In comparisons what both owe to one cause cancels (5.2.2). Clauses are named from memory.';

export const OWN_WATTS =
  'By its own watts: how far the station’s watts may be off as a whole is in such a range, with the limit that was presumed or told. Two results of one station owe it both, and there it cancels. Held against a meter it does not come in.';

export const NOT_SAID = [
  'One station, in the hands of its owner: another one of its kind may differ.',
  'Measured by telemetry that comes about once a second: how quickly it switches over, and what it gives for a moment, cannot be told from that.',
  'What the gauge of the station shows is taken as it is shown.',
  'No test laboratory was involved, and nothing here is a certificate.',
] as const;
