/** Words of beginning a trial: what to connect step by step, the cautions, the few choices. */
import type { TrialKind } from '#messages';

export const titleOf = (kind: string): string => `Begin: ${kind.toLowerCase()}.`;
export const HOW = 'How it goes';
export const CHOICES = 'Choices';
export const MORE = 'More choices';
export const CAUTIONS = 'Mind';
export const BEGIN_NOW = 'Begin now';
export const BEGINS_ITSELF = 'It begins by itself as soon as all is as it should be, and may be left alone.';
export const MAY_NOT = 'This browser may only look. Begin it from one that may change things.';
export const DOES_NOT_TELL = (what: string): string =>
  `This station does not tell ${what}, so this trial cannot be judged.`;
export const NO_SUCH = 'There is no such trial.';
export const REPLACE = 'Something typed makes no sense.';

/** Step by step; the last one says how it ends. */
export const STEPS: Record<TrialKind, readonly string[]> = {
  usable: [
    'Charge the station until it says full, and leave it there for a quarter of an hour.',
    'Take off the wall lead; take the panels off, or cover them.',
    'Switch the AC outlets on and plug in one steady load: a tenth to a half of what the station can give is usual.',
    'With a meter: station, then meter, then load.',
    'Leave it alone. Do not add or take away anything.',
    'It ends when the outlets switch off, or at the floor you choose. Then charge it again: do not leave it empty.',
  ],
  charge: [
    'Draw the station down first: a usable-energy trial leaves it just so.',
    'Unplug every load and switch the outlets off.',
    'Plug in the wall lead, or the panels; only one of them.',
    'With a meter on the wall side: wall, then meter, then station.',
    'It ends by itself when the battery is full.',
  ],
  ownDraw: [
    'Charge it above half.',
    'Unplug everything from the outlets; take the wall lead and the panels off.',
    'Switch the AC outlets on, and any saving mode that would switch them off by itself, off.',
    'Leave it over night. The longer it takes, the narrower the range.',
    'It ends by itself once the range is narrow enough.',
  ],
  converter: [
    'Charge it above half; take the wall lead and the panels off.',
    'Plug in the smallest load and leave it until it is counted: ten minutes, where the station tells battery volts and amperes; else until five percent are gone.',
    'Then the next larger one in its place, and so on: from about a twentieth of what it can give to two thirds.',
    'Each size is counted by itself once it has stood still so long.',
    'It ends after as many sizes as you choose.',
  ],
  solar: [
    'Let the battery have room for a whole day: a full one takes less than the panels give.',
    'Set the panels up in the morning where no shade falls, tell Setup where and how they stand, and do not move them.',
    'Take the wall lead off.',
    'It begins with the first light and ends at sunset.',
  ],
  twoSets: [
    'Set both up side by side: the same tilt, the same direction, no shade.',
    'Let the battery have room; a steady sky is best, near noon.',
    'At one port: plug in set A and tell so; after five minutes set B; then A again. At two ports: plug both in.',
    'Before you change plugs, cover the panels or turn them away from the sun.',
    'It ends by itself once both have had their rounds.',
  ],
};

export const COMMON_CAUTIONS: readonly string[] = [
  'What plugs into the wall can kill. Use whole leads and plugs only, indoors and dry, and do not open anything; what is wired in is for a licensed electrician.',
  'A battery under test gets warm. Leave air around it, nothing that burns near it, and stay within what its manual allows.',
  'Never use a device that somebody’s health depends on as the load, and keep its own supply meanwhile. What its manual and those who treat you say comes first.',
];
export const PANEL_CAUTION =
  'Panels in the sun are always live. Cover them before plugs are changed, and keep within the voltage of the port: see Wiring.';
export const OUTAGE_CAUTION = 'It leaves the station empty: not on a day on which the power may fail.';

export const FIELDS = {
  floorPct: ['Ends at, %', 'Left empty: at the station’s own cut-off, which says most.'],
  narrowPct: ['Narrow enough, ± %', 'The range either way at which it ends; or one watt, if that is wider.'],
  longestHours: ['At the longest, h', ''],
  loads: ['Sizes of load', 'Four or five make a good curve.'],
  source: ['Charged from', ''],
  fromPct: ['Begins at or below, %', 'Lower says more of the whole.'],
  discharge: ['With the discharge of', 'For the round trip: what came out of what went in.'],
  how: ['How', ''],
  aName: ['Set A', ''],
  aRatedW: ['Set A on its label, W', ''],
  bName: ['Set B', ''],
  bRatedW: ['Set B on its label, W', ''],
  portA: ['Set A at port', ''],
  portB: ['Set B at port', ''],
  meter: ['Meter', 'Without one, the station’s own watts are believed within their limits.'],
  meterName: ['Name of the meter', 'Results of one meter share its error, and can be told apart better.'],
  meterLimitPct: ['Its limit of error, %', 'As on its label or in its manual; 1 is common.'],
  load: ['The load', 'Such as: lamp, 60 W.'],
  airTempC: ['Air, °C', ''],
  note: ['Note', ''],
  tempMinC: ['Too cold below, °C', ''],
  tempMaxC: ['Too warm above, °C', ''],
  ownWattsLimitPct: ['Own watts may be off by, %', 'Three where nothing is known.'],
} as const;
export type FieldName = keyof typeof FIELDS;

export const CHOICE = {
  wall: 'the wall',
  sun: 'the panels',
  alternated: 'in turn, at one port',
  ports: 'both, at two ports',
  none: 'none',
  typed: 'one I read off and type in',
  noDischarge: 'none',
} as const;
export const typedWrong = (low: number, high: number): string => `A number from ${low} to ${high}.`;
export const NAME_NEEDED = 'A name, of at most 40 letters.';
