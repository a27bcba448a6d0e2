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
  loads: 'What is plugged in',
  place: 'Place',
  tariff: 'Price',
  display: 'Display and record',
  light: 'Light',
  sound: 'Sound',
  about: 'About',
} as const;

/** What a closed group holds, beside its name. */
export const NOTHING_TOLD = 'not told';
export const batteryTold = (energy: string, floor: string): string => `${energy}, floor ${floor}`;
/** Limits of a port; each '' where not told. */
export function portTold(minV: string, maxV: string, maxA: string, maxW: string): string {
  const volts = maxV === '' ? '' : minV === '' ? `up to ${maxV} V` : `${minV}–${maxV} V`;
  const parts = [volts, maxA === '' ? '' : `${maxA} A`, maxW === '' ? '' : `${maxW} W`].filter(part => part !== '');
  return parts.length === 0 ? 'limits not told' : parts.join(', ');
}
export const kindTold = (count: string, power: string): string => `${count} × ${power}`;
export const loadTold = (name: string, power: string): string => `${name} ${power}`;
export const coldestTold = (temperature: string): string => `coldest ${temperature}`;
export const priceTold = (price: string, currency: string): string => `${price} ${currency} a kWh`;
export const hoursTold = (count: number): string =>
  count === 1 ? 'one stretch of hours with another price' : `${count} stretches of hours with other prices`;
export const DATASHEET = 'Datasheet, for Wiring';
export const LEAD = 'Lead, for Wiring';

export const HOURS = 'Hours with another price';
export const HOURS_WHY =
  'What came in from the sun is worth what it would have cost in its hour. Whole hours of the day; over midnight takes two entries. Of several for one hour the last one holds.';
export const hoursTitle = (n: number): string => `Hours ${n}`;
export const ADD_HOURS = 'Add hours';
export const WEEKDAYS = {
  mon: 'Mon',
  tue: 'Tue',
  wed: 'Wed',
  thu: 'Thu',
  fri: 'Fri',
  sat: 'Sat',
  sun: 'Sun',
} as const;

export const portTitle = (n: number): string => `Solar input ${n}`;
export const panelTitle = (n: number): string => `Panel ${n}`;
export const loadTitle = (n: number): string => `Load ${n}`;
export const ADD_LOAD = 'Add a load';
export const ADD_PORT = 'Add a solar input';
export const ADD_PANEL = 'Add a panel';
export const removeEntry = (title: string): string => `Remove ${title.charAt(0).toLowerCase()}${title.slice(1)}`;

/** A field's name with its unit, why it is asked, and an example in the settings' own units. */
export type FieldWords = readonly [label: string, why: string, example?: string];

export const FIELD_WORDS = {
  name: ['Name', 'Shown at the top of every view.', 'Honey shed'],
  adapter: ['Adapter', 'Knows the language the station speaks.', 'lines'],
  'transport.kind': ['Connection', 'How its readings come to this machine.'],
  'transport.path': ['Serial port', 'What is plugged in now is offered; another name can be written.', '/dev/ttyUSB0'],
  'transport.baud': ['Speed, baud', 'Both sides must use the same.', '115200'],
  'transport.name': [
    'Bluetooth name',
    'As it advertises itself. One of the three is enough; all that is told must fit.',
    'Honey shed',
  ],
  'transport.service': ['Service', 'An advertised service: 4 or 32 hexadecimal digits.', '180f'],
  'transport.address': [
    'Address',
    'Where two have the same name. On macOS an id of that computer.',
    'C0:11:22:33:44:55',
  ],
  'transport.host': ['Host', 'Name or address of the machine that sends the readings.', '192.168.1.40'],
  'transport.port': ['Port', 'The number it listens on.', '7000'],
  'transport.command': [
    'Program',
    'Prints one reading a line. The program first, then each argument on a line of its own.',
  ],
  'part.name': ['Name', 'What you call it; told when it is missing.', 'Plug meter'],
  'part.gives': [
    'Gives',
    'What it is there for. A meter that knows only its own watts stands for the one power ticked here.',
  ],
  ratedWh: ['Energy on the label, Wh', 'Turns percent into watt-hours; without it nothing can be promised.', '1640'],
  continuousW: [
    'AC output for as long as it lasts, W',
    'On the label. Plan holds what you want to run against it.',
    '1500',
  ],
  surgeW: ['AC output for a moment, W', 'On the label as surge or peak: what motors need to start.', '3000'],
  wallChargeW: [
    'What it takes from a wall socket, W',
    'In the manual, or set on the station. Tells how many hours a charge takes.',
    '600',
  ],
  paid: [
    'Paid for the station',
    'In the currency of the price below. The Ledger holds what was gathered against it.',
    '900',
  ],
  boughtOn: ['Bought on', 'Year, month and day.', '2026-06-14'],
  returnBy: ['Can be given back until', 'The last day. Trials plans the first week by it.', '2026-06-28'],
  'warranty.thresholdPct': [
    'Warranted energy, %',
    'How much is promised to be left after years. Trials holds usable energy against it.',
    '70',
  ],
  'warranty.of': ['Warranted share of', 'What the label says, or what the first trial delivered.'],
  'warranty.until': ['Warranted until', 'The last day of it.', '2031-06-14'],
  'warranty.cycles': ['Warranted cycles', 'Full cycles until then, whichever comes first.', '3000'],
  idleW: [
    'Idle draw, W',
    'What it uses for itself with the outlets on and nothing plugged in, if you know it. Empty: not counted.',
    '12',
  ],
  reserveFloorPct: ['Floor, %', 'Your own minimum: how long it lasts is told down to here.', '15'],
  chargeCeilingPct: ['Ceiling, %', 'Where you stop charging: “full” is told for here.', '100'],
  lowCutoffPct: ['Low cut-off, %', 'Where the station itself switches its outlets off.', '4'],
  outletsSleepAtLowLoad: [
    'Outlets sleep at low load',
    'Some stations switch off when little is drawn; then the time told would be wrong.',
  ],
  inputSource: [
    'What comes in is',
    'Where the station cannot tell. What is not known to be sun is never counted as harvest.',
  ],
  'place.latitudeDeg': [
    'Latitude, °',
    'North positive. Draws night, and counts on the sun only while it is up.',
    '45.5',
  ],
  'place.longitudeDeg': ['Longitude, °', 'East positive.', '9.2'],
  'place.altitudeM': ['Altitude, m', 'Higher up, a clear sky gives more.', '310'],
  'place.coldestC': [
    'Coldest morning',
    'The lowest ever seen there, not the average: cold panels give the most volts, and Wiring must hold then.',
    '-15',
  ],
  'place.hottestC': ['Hottest day', 'Hot panels give the fewest volts, which must still start the port.', '38'],
  'place.turbidity': [
    'Turbidity',
    'How hazy a clear sky is there: 2 very clean, 3 usual, 5 damp or dusty. Empty: 3.',
    '3',
  ],
  zone: ['Time zone', 'A day begins at midnight there. Empty: the zone of the agent’s machine.', 'Europe/Lisbon'],
  'port.name': ['Name', 'As it is written on the station.', 'Solar port'],
  'port.maxW': ['Most power, W', 'What is above it is lost.', '400'],
  'port.maxV': ['Most voltage, V', 'A hard stop: above it the station may be damaged.', '82'],
  'port.minV': ['Least voltage, V', 'Below it nothing comes in.', '16'],
  'port.maxA': ['Most current, A', 'Wiring counts 1.25 times the panels’ short-circuit current against it.', '9'],
  'port.overCurrentAllowed': [
    'Its manual allows more current',
    'Only if the port’s manual says that panels of a higher short-circuit current may be connected.',
  ],
  'port.lead.lengthM': ['Lead, one way, m', 'Long leads lose volts.', '5'],
  'port.lead.conductorMm2': ['Conductor, mm²', 'Printed on the lead: 4 mm² is AWG 11 or 12.', '4'],
  'port.lead.plugA': ['Weakest plug, A', 'What the plugs and adapters in between are rated for.', '10'],
  'panel.name': ['Name', 'To tell it from the others.', 'Hive panel'],
  'panel.ratedW': ['Rated power, W', 'As on its label.', '90'],
  'panel.count': ['How many alike', 'Panels of the same kind, facing the same way.', '3'],
  'panel.tiltDeg': ['Tilt, °', '0 lies flat, 90 stands upright.', '30'],
  'panel.azimuthDeg': ['Faces, °', '0 north, 90 east, 180 south, 270 west.', '180'],
  'panel.paid': ['Paid, all of them', 'What these panels cost together, in the currency of the price.', '210'],
  'panel.openCircuitV': ['Open-circuit voltage Voc, V', 'Decides whether the port survives a cold morning.', '22.4'],
  'panel.shortCircuitA': [
    'Short-circuit current Isc, A',
    'Decides the current a port, a lead and a fuse must bear.',
    '5.1',
  ],
  'panel.maxPowerV': ['Voltage at most power Vmp, V', 'Decides whether the port starts on a hot day.', '18.6'],
  'panel.maxPowerA': ['Current at most power Imp, A', 'Tells what is lost in the lead, and what a port clips.', '4.84'],
  'panel.openCircuitPctPerK': [
    'Voc changes, %/K',
    'Negative: the colder, the more volts. Empty: a cautious table is used, and said.',
    '-0.31',
  ],
  'panel.powerPctPerK': [
    'Power changes, %/K',
    'Negative: hot panels give less. Empty: a usual value, and said.',
    '-0.36',
  ],
  'panel.maxSeriesFuseA': [
    'Largest series fuse, A',
    'What may flow back into one panel; decides whether strings need fuses.',
    '10',
  ],
  'panel.tolerancePct': [
    'Tolerance of Voc, %',
    'How far above its label Voc may lie. Empty: 3 for rigid, 5 for folding panels.',
    '3',
  ],
  'panel.build': ['Build', 'Folding panels keep their label less closely.'],
  'load.name': ['Name', 'What you call it.', 'Fridge'],
  'load.powerW': ['Draws, W', 'While it runs; it is told again by this.', '57'],
  'load.mustStayOn': ['Must stay on', 'Never suggested to be left off.'],
  'hours.days': ['Days', ''],
  'hours.fromHour': ['From, h', '', '22'],
  'hours.toHour': ['To, h', '24 is midnight.', '24'],
  'hours.perKWh': ['Price a kWh', '', '0.19'],
  'tariff.perKWh': [
    'Price of a kWh',
    'From your last bill, taxes included. Tells what the sun’s energy was worth.',
    '0.31',
  ],
  'tariff.currency': ['Currency', 'Three letters.', 'EUR'],
  'display.temperature': ['Temperature', ''],
  'display.clock': ['Clock', ''],
  'record.commitIntervalS': [
    'Saved every, s',
    'If the power fails, at most this many seconds of readings are lost. Shorter wears the disk more.',
    '10',
  ],
  'record.keepRawDays': [
    'Readings kept, days',
    'After that their minutes are kept, for ever. 0 keeps every reading for ever: some 60 MB a year for each station.',
    '90',
  ],
} as const satisfies Record<string, FieldWords>;

/** What may be written, after the reason: `16 to 82, such as 30.` */
export const allowed = (low: string, high: string, example: string | null): string =>
  example === null ? `${low} to ${high}.` : `${low} to ${high}, such as ${example}.`;
export const suchAs = (example: string): string => `Such as ${example}.`;
export const withUnit = (label: string, unit: string): string => `${label}, ${unit}`;

export const CHOICES = {
  serial: 'serial port',
  ble: 'Bluetooth',
  tcp: 'network (TCP)',
  process: 'a program on this machine',
  typed: 'typed: no cable',
  parts: 'several sources together',
  sun: 'sun',
  wall: 'wall',
  vehicle: 'vehicle',
  generator: 'generator',
  unknown: 'not known',
  rigid: 'rigid, in a frame',
  folding: 'folding',
  rated: 'the label',
  first: 'the first trial',
  C: '°C',
  F: '°F',
  '24': '24 h',
  '12': '12 h',
  system: 'as the system',
} as const;
export const NOT_TOLD = 'not told';

export const USE_POSITION = 'Use this browser’s position';
export const POSITION_WHERE =
  'Asked of your browser, which may ask its maker’s service. It is written below and goes to this agent alone, when you save.';
export const POSITION_WAIT = 'Asking the browser.';
export const POSITION_TAKEN = 'Written below. Not saved yet.';
export const POSITION_NOT_HERE =
  'A browser gives its position only over an encrypted address or on the agent’s own machine. Type the place instead.';
export const positionFailed = (why: 'refused' | 'unknown'): string =>
  why === 'refused'
    ? 'The browser did not allow it. Type the place instead, or allow it in the browser’s settings for this page.'
    : 'The browser could not tell where it is. Type the place instead.';

export const LIGHT_CHOICES = {
  system: 'As the system',
  day: 'Day',
  glare: 'Glare: direct sun',
  night: 'Night',
} as const;
export const LIGHT_KEY = 'The key L changes it too.';
export const THIRD_PARTY = 'Licences of what this page contains';
export const version = (text: string): string => `wattkeep ${text}`;

/** Checks between two fields, by what the schema says. */
const BELOW: Readonly<Record<string, string>> = {
  'later than fromHour; over midnight takes two entries':
    'This must be later than its beginning; over midnight takes two entries.',
  'less than openCircuitV': 'This must be below the open-circuit voltage.',
  'less than shortCircuitA': 'This must be below the short-circuit current.',
  'less than maxV': 'This must be below the most voltage.',
  'less than hottestC': 'This must be below the hottest day.',
};

const withMinus = (limit: unknown): string => String(limit).replace('-', '\u2212');

/** What is wrong with a value, by the schema's own kind of complaint. */
export function wrongValue(kind: string, requirement: unknown, message: string): string {
  if (kind === 'number') return 'This needs a number.';
  if (kind === 'min_value') return `Not below ${withMinus(requirement)}.`;
  if (kind === 'max_value') return `Not above ${withMinus(requirement)}.`;
  if (kind === 'integer') return 'This needs a whole number.';
  if (kind === 'min_length') return 'This must not be empty.';
  if (kind === 'max_length') return `At most ${String(requirement)} characters.`;
  if (kind === 'partial_check') return BELOW[message] ?? message;
  if (kind === 'strict_object' || kind === 'string') return 'This is needed.';
  if (kind === 'check' || kind === 'regex') return `This needs ${message}.`;
  return message;
}
