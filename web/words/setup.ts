/** Words of Setup: each field's name and why it is asked, and what is wrong with a value. */

export const SETUP_LOADING = 'Reading the settings.';
export const SETUP_FAILED = 'The settings could not be read.';
export const NO_STATION_SETUP = 'No station set up yet.';
export const DEMO_ENDS =
  'The simulated station is there until the first station of your own is saved; the two never mix.';
export const SETUP_SURE = 'All of this stands in one settings file, which can also be edited by hand.';
export const stationSummary = (name: string, parts: readonly string[]): string => `${name}: ${parts.join(', ')}.`;
export const noLabelEnergy = 'energy on the label not told';
export const panelsTold = (count: number, text: string): string =>
  count === 0 ? 'no panels told' : count === 1 ? 'one panel' : `${text} panels`;
export const placeTold = (lat: string, lon: string): string => `${lat} ${lon}`;
export const placeNotTold = 'place not told';
export const degrees = (text: string, side: string): string => `${text}° ${side}`;

export const WHICH_TO_EDIT = 'Station to edit';
export const ADD_STATION = 'Add a station';
export const REMOVE_STATION = 'Remove this station';
export const removeAsk = (name: string): string => `Remove ${name}? What was recorded of it stays on the disk.`;
export const REMOVE_YES = 'Remove it';
export const REMOVE_NO = 'Keep it';
export const NEW_STATION = 'New station';

export const SAVE = 'Save';
export const SAVED = 'Saved. The agent uses it from now on.';
export const NOT_SAVED = 'Not saved: look at the marked fields.';
export const UNSAVED = 'Not saved yet.';
export const LOAD_AGAIN = 'Load the file again';

export const GROUPS = {
  station: 'Station',
  link: 'How it is read',
  battery: 'Battery',
  ports: 'Solar inputs',
  panels: 'Panels',
  place: 'Place',
  display: 'Display',
  record: 'Record',
  light: 'Light',
  about: 'About',
} as const;

export const portTitle = (n: number): string => `Solar input ${n}`;
export const panelTitle = (n: number): string => `Panel ${n}`;
export const ADD_PORT = 'Add a solar input';
export const ADD_PANEL = 'Add a panel';
export const removeEntry = (title: string): string => `Remove ${title.charAt(0).toLowerCase()}${title.slice(1)}`;

export const FIELD_WORDS = {
  name: ['Name', 'Shown at the top of every view.'],
  adapter: ['Adapter', 'Knows the language the station speaks.'],
  'transport.kind': ['Connection', 'How its readings come to this machine.'],
  'transport.path': ['Serial port', 'What is plugged in now is offered; another name can be written.'],
  'transport.baud': ['Speed, baud', 'Both sides must use the same. 115 200 is usual.'],
  'transport.host': ['Host', 'Name or address of the machine that sends the readings.'],
  'transport.port': ['Port', 'The number it listens on.'],
  'transport.command': [
    'Program',
    'Prints one reading a line. The program first, then each argument on a line of its own.',
  ],
  ratedWh: ['Energy on the label, Wh', 'Turns percent into watt-hours; without it nothing can be promised.'],
  reserveFloorPct: ['Floor, %', 'Your own minimum: how long it lasts is told down to here.'],
  chargeCeilingPct: ['Ceiling, %', 'Where you stop charging: “full” is told for here.'],
  lowCutoffPct: ['Low cut-off, %', 'Where the station itself switches its outlets off.'],
  outletsSleepAtLowLoad: [
    'Outlets sleep at low load',
    'Some stations switch off when little is drawn; then the time told would be wrong.',
  ],
  inputSource: [
    'What comes in is',
    'Where the station cannot tell. What is not known to be sun is never counted as harvest.',
  ],
  'place.latitudeDeg': ['Latitude, °', 'North positive. Draws night, and counts on the sun only while it is up.'],
  'place.longitudeDeg': ['Longitude, °', 'East positive.'],
  zone: ['Time zone', 'A day begins at midnight there. Empty: the zone of the agent’s machine.'],
  'port.name': ['Name', 'As it is written on the station.'],
  'port.maxW': ['Most power, W', 'What is above it is lost.'],
  'port.maxV': ['Most voltage, V', 'Above it the station may be damaged.'],
  'port.minV': ['Least voltage, V', 'Below it nothing comes in.'],
  'port.maxA': ['Most current, A', 'What is above it is lost, or must not be connected.'],
  'panel.name': ['Name', 'To tell it from the others.'],
  'panel.ratedW': ['Rated power, W', 'As on its label.'],
  'panel.count': ['How many alike', 'Panels of the same kind, facing the same way.'],
  'panel.tiltDeg': ['Tilt, °', '0 lies flat, 90 stands upright.'],
  'panel.azimuthDeg': ['Faces, °', '0 north, 90 east, 180 south, 270 west.'],
  'display.temperature': ['Temperature', ''],
  'display.clock': ['Clock', ''],
  'record.commitIntervalS': [
    'Saved every, s',
    'If the power fails, at most this many seconds of readings are lost. Shorter wears the disk more.',
  ],
} as const;

export const CHOICES = {
  serial: 'serial port',
  tcp: 'network (TCP)',
  process: 'a program on this machine',
  typed: 'typed: no cable',
  sun: 'sun',
  wall: 'wall',
  vehicle: 'vehicle',
  generator: 'generator',
  unknown: 'not known',
  C: '°C',
  F: '°F',
  '24': '24 h',
  '12': '12 h',
  system: 'as the system',
} as const;

export const LIGHT_CHOICES = {
  system: 'As the system',
  day: 'Day',
  glare: 'Glare: direct sun',
  night: 'Night',
} as const;
export const LIGHT_KEY = 'The key L changes it too.';
export const THIRD_PARTY = 'Licences of what this page contains';
export const version = (text: string): string => `wattkeep ${text}`;

/** What is wrong with a value, by the schema's own kind of complaint. */
export function wrongValue(kind: string, requirement: unknown, message: string): string {
  if (kind === 'number') return 'This needs a number.';
  if (kind === 'min_value') return `Not below ${String(requirement)}.`;
  if (kind === 'max_value') return `Not above ${String(requirement)}.`;
  if (kind === 'integer') return 'This needs a whole number.';
  if (kind === 'min_length') return 'This must not be empty.';
  if (kind === 'max_length') return `At most ${String(requirement)} characters.`;
  if (kind === 'strict_object' || kind === 'string') return 'This is needed.';
  if (kind === 'check' || kind === 'regex') return `This needs ${message}.`;
  return message;
}
