/** Words of Aim about named spots: their sun and shade by the clock, what stands around them, and the day's best round. */

export const SUN_AND_SHADE = 'Sun and shade at your spots';
export const AS_FAR_AS_SEEN = 'Today by the clock, as far as seen on clear days.';
export const NO_PLACE = 'Without a place nobody knows where the sun goes today.';
export const TELL_PLACE = 'Tell the place';
export const NO_SUN_TODAY = 'The sun does not rise today.';
export const ALL_UNKNOWN =
  'Nothing is drawn yet: it takes clear hours on two days to tell sun, on three to tell shade.';

export const SUN = 'sun';
export const SHADE = 'shade';
export const UNKNOWN = 'not known';
export const LEGEND = 'What the strips mean';
export const IS = { sun: SUN, shade: SHADE, unknown: UNKNOWN } as const;

/** What comes next at a spot, after its name. */
export const nextIs = (is: 'sun' | 'shade', time: string, range: string): string =>
  `${is} from about ${time}, give or take ${range}`;
export const restIs = { sun: 'sun for the rest of the day, as far as seen', shade: 'shade for the rest of the day' };
export const restDone = 'the day is over there';
export const nextUnknown = 'what comes next is not known';
export const tooFew = (days: number): string =>
  days === 0 ? 'no clear day seen there yet' : `${daysOf(days)} seen there: too few to tell this day`;
const daysOf = (days: number): string => (days === 1 ? 'one clear day' : `${days} clear days`);

export const tilt = (degrees: string): string => `tilt ${degrees}`;
export const facing = (degrees: string, wind: string): string => `facing ${degrees} (${wind})`;
export const PLANE_UNKNOWN = 'how panels stand there is not known';
export const hereSince = (moment: string): string => `panels here since ${moment}`;
export const lastHere = (moment: string): string => `panels last here ${moment}`;
export const NEVER_HERE = 'panels never stood here';

/** For those who do not see the strip. */
export const stripSays = (name: string, spans: readonly string[]): string => `${name}: ${spans.join(', ')}.`;
export const span = (is: string, from: string, to: string): string => `${is} ${from} to ${to}`;
export const drawing = (now: string): string => `Sun and shade by the clock; it is ${now} now.`;

export const WHY = 'Why?';
export const whyOf = (name: string): string => `Why? ${name}`;
export const seenOn = (days: number, minutes: string): string =>
  `Seen on ${daysOf(days)}, ${minutes} minutes that told something.`;
export const HOW_LEARNED =
  'Watts are held against what a clear sky gives. A place of the sky is in the sun once two separate days saw it so, in shade once three did and hardly any saw sun. Hours with a full battery, a limit or moving clouds teach nothing of shade.';
export const FADES = 'Newer days count more: leaves grow, trees fall.';
export const NO_SKYLINE = 'Nothing is drawn of what stands around this spot before there is evidence.';
export const SKYLINE = 'What stands around it';
export const SKYLINE_MEANS =
  'Across: the compass. Up: degrees above level ground. Filled: seen in the sun. Boxes: seen in shade. Thick: the edge between them. Dashed: the sun’s way today; the ring is the sun now. Below: minutes seen in each direction.';
export const edgesSay = (parts: readonly string[]): string =>
  parts.length === 0
    ? 'No edge was found: nowhere were sun and shade both seen.'
    : `Edges were found towards ${parts.join('; ')}.`;
export const edgeAt = (wind: string, degrees: string, height: string): string => `${wind} (${degrees}), ${height} high`;
export const fromTo = (from: string, to: string): string => `${from} to ${to}`;
export const SKYLINE_TABLE = 'The drawing in numbers';
export const SKYLINE_COLUMNS = ['towards', 'edge', 'sun from', 'shade up to', 'minutes'] as const;
export const NONE = '–';

/** The day's best round. */
export const PLAN = 'The best round today';
export const planStep = (name: string, until: string | null): string =>
  until === null ? name : `${name} until ${until}`;
export const planNow = (name: string): string => `${name} now`;
export const planThen = (steps: readonly string[]): string => `${steps.join(', then ')}.`;
export const planGain = (energy: string, against: string): string =>
  `About ${energy} more than staying at ${against}, under a clear sky.`;
export const PLAN_WHY =
  'Hours not known count as shade where you would go and as sun where you stand; each walk costs five minutes and has to be worth it.';

export const CHANGE = 'Change';
export const changeOf = (name: string): string => `Change ${name}`;
export const NAME = 'Name';
export const NAME_WRONG = 'A name has 1 to 40 letters.';
export const NOTE = 'Note';
export const NOTE_WRONG = 'A note has at most 400 letters.';
export const KEEP = 'Keep';
export const REMOVE = 'Forget this spot';
export const removeSure = (name: string): string => `Forget ${name} and what was learned there?`;
export const REMOVE_YES = 'Forget it';
export const CANCEL = 'Cancel';
