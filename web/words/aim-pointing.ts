/** Words of Aim about where to point, a peg's shadow, and why so few watts. Short: they are read in the sun. */
import type { WirePointing } from '#messages';

type CauseCode = WirePointing['causes'][number]['cause'];
type SpreadOf = NonNullable<WirePointing['expected']>['spreads'][number]['of'];

export const POINT = 'Where to point';
export const NO_PLACE = 'Without a place nobody knows where the sun stands.';
export const TELL_PLACE = 'Tell the place';

const CARDINALS = ['north', 'east', 'south', 'west'] as const;
const BETWEEN = ['north-east', 'south-east', 'south-west', 'north-west'] as const;
export const cardinal = (quarter: number): string => CARDINALS[quarter % 4]!;
export const between = (quarter: number): string => BETWEEN[quarter % 4]!;
export const aLittle = (toward: string, of: string): string => `a little ${toward} of ${of}`;

export const turnTo = (degrees: string, direction: string, tilt: string): string =>
  `Turn to ${degrees} (${direction}), tilt ${tilt}.`;
export const raise = (centimetres: string): string => `Raise the back edge ${centimetres} for each metre of panel.`;
export const leaveUntil = (sunset: string | null): string =>
  sunset === null ? 'Left so for the rest of the day' : `Left so until sunset at ${sunset}`;
export const gathers = (until: string, energy: string): string =>
  `${until} they gather about ${energy} without clouds.`;
export const gathersEach = (until: string, energy: string): string =>
  `${until} each 100\u00a0W of panel gathers about ${energy} without clouds.`;
export const LAY_FLAT = 'Lay the panels flat.';
export const FLAT_DOES = 'No other way gathers one percent more.';
export const GREY_SKY = 'Under an even grey sky lay them flat.';
export const SUN_DOWN = 'The sun is down.';
export const risesAt = (moment: string): string => `Next sunrise: ${moment}.`;
export const NO_RISE = 'It does not rise within two days.';
export const risesFirst = (moment: string): string => `The sun rises at ${moment}.`;

export const PLANES = 'Ways to stand';
export const COLUMNS = ['', 'Turn to', 'Tilt', 'Rise per metre'] as const;
export const LEFT_ALONE = 'left alone';
export const MOST_NOW = 'most watts now';
export const turnOnce = (moment: string, gain: string): string => `Turned once at ${moment}: ${gain} more`;
export const until = (moment: string): string => `until ${moment}`;
export const from = (moment: string): string => `from ${moment}`;
export const OTHER_HOURS = 'At another hour';
export const NO_TURNING = 'Turning them once more is not worth the walk today.';
export const FLAT = 'flat';

export const GATHERED = 'Gathered in the rest of the day, without clouds';
export const GATHERED_EACH = 'Gathered in the rest of the day by each 100\u00a0W, without clouds';
export const BEST = 'the best way, left alone';
export const STANDING = 'as they stand';
export const LEFT_AT_SUN = 'aimed at the sun now, and left';
export const WORSE_THAN_FLAT = 'worse than flat';
export const reaim = (gain: string): string => `Turning them now gains about ${gain}.`;
export const STANDS_UNKNOWN =
  'How they stand is not told. Give tilt and turn of the spot, or of the panels in Setup: then it is told what to expect.';
export const STAND_WELL = 'They stand well: turning them now gains next to nothing.';

export const TRUE_NORTH =
  'Degrees are from true north, clockwise. A compass shows magnetic north: what it reads plus the local difference, east as plus, is true. A topographic map has the difference printed on it.';

export const PEG = 'Without a compass: a peg’s shadow';
export const PEG_LOW = 'The sun is too low for a shadow that could be used.';
export const pegStand = 'Stand a straight stick upright on level ground, true to a hanging string.';
export const pegShadow = (length: string, degrees: string, direction: string): string =>
  `Its shadow now points to ${degrees} (${direction}) and is ${length} long for each metre of stick.`;
export const pegFace = (turn: string, toward: string): string =>
  `Face along the shadow towards the stick: there is the sun. To look to ${toward}, turn ${turn}.`;
export const PEG_FACE_SUN = 'Face along the shadow towards the stick: that way the panels should look.';
export const toRight = (degrees: string): string => `${degrees} to the right`;
export const toLeft = (degrees: string): string => `${degrees} to the left`;
export const PEG_SQUARE =
  'For most watts now: hold a pencil square on the panel and tilt until it throws no shadow. Then the panel looks straight at the sun.';
export const pegDrawing = (shadow: string, face: string): string =>
  `From above, north at the top: the shadow points to ${shadow}, the panels look to ${face}.`;
export const tiltDrawing = (tilt: string, rise: string): string =>
  `From the side: a metre of panel at ${tilt} stands ${rise} up at its back edge.`;
export const FROM_ABOVE = 'From above. The bar is the panel; its arrow shows where it looks.';
export const FROM_SIDE = 'From the side.';
export const NORTH = 'N';
export const SUN = 'sun';
export const SHADOW = 'shadow';
export const METRE = '1\u00a0m';

export const FEW = 'Why so few watts';
export const expectedNow = (low: string, high: string): string =>
  `As they stand, ${low} to ${high} can be expected in clear sun now.`;
export const ABOUT_BAND = 'What makes the range so wide';
export const spread = (what: string, pct: string): string => `${what}: ${pct} either way`;
export const SPREADS: Record<SpreadOf, string> = {
  air: 'Haze of the air (a turbidity one higher or lower, half of it where you told yours; own judgement)',
  warmth: 'Warmth of the panels (air, wind, ground under them; own judgement)',
  label: 'The label’s watts (own judgement)',
  dirt: 'Dust (common practice, no source)',
  plane: 'How they stand (4° off, the worst way; own judgement)',
};
export const LIKELY = 'likely';
export const explains = (watts: string): string => `would explain ${watts}`;
export const ONLY_POSSIBLE = 'Nothing that the station tells decides between these.';

/** What it is, and one thing to look at. */
export const CAUSES: Record<CauseCode, readonly [what: string, check: string]> = {
  full: ['The battery is full', 'Plug something in: the watts should rise by as much.'],
  taper: ['The battery is nearly full and takes less', 'Plug something in: the watts should rise by as much.'],
  port: [
    'The port takes no more',
    'Hold its watts, amps and volts in the manual against the panels’, in Wiring. Too many volts can ruin it: unplug first.',
  ],
  owner: ['A limit that was set on the station', 'Look for a charge limit in the station’s own settings.'],
  cold: [
    'The battery is too cold to charge',
    'Read its temperature: below 0\u00a0°C most take nothing. Bring it indoors for some hours.',
  ],
  load: ['The station takes only what is plugged in', 'Switch something more on: the watts should rise by as much.'],
  stringMissing: [
    'A panel or string is not connected',
    'Look at every plug. Then cover one panel after the other: the one that changes nothing is missing.',
  ],
  panelShaded: [
    'One panel is in shade',
    'Look along the panels for a shadow, even a narrow one, and move them out of it.',
  ],
  lowVoltage: [
    'Too few volts for the port',
    'Count the panels in series and hold them against Wiring. In the early morning, wait.',
  ],
  heat: ['The panels are hot', 'Raise them off the ground so that air passes behind, and look again in ten minutes.'],
  dirt: ['Dust or pollen on the panels', 'Wipe one panel with water and a soft cloth, then compare.'],
  lead: ['The lead takes its share', 'Try a shorter or a thicker lead, if only for a minute.'],
  cloud: [
    'Less light: cloud, haze, or shade on all of them',
    'Look for your own shadow beside the panels: a soft one, or none, means that the sun is veiled or hidden there.',
  ],
};
