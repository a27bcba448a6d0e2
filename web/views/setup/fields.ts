/** The fields of Setup as data: where each stands in the settings, what kind it is, which words belong to it. */
import type { CHOICES, FIELD_WORDS } from '../../words/setup.ts';

export interface Field {
  /** Dotted path within its group (a station, a port, a panel, or the settings). */
  path: string;
  words: keyof typeof FIELD_WORDS;
  kind: 'text' | 'number' | 'yes' | 'choice' | 'lines' | 'gives' | 'days';
  choices?: readonly (keyof typeof CHOICES)[];
  /** Names a list of suggestions. */
  suggest?: 'ports' | 'zones' | 'adapters' | 'currencies';
  /** °C in the settings, on the screen as the owner wishes. */
  temperature?: true;
  /** Written in capitals. */
  capitals?: true;
  /** An empty field takes the key away. */
  optional?: true;
}

const text = (path: keyof typeof FIELD_WORDS): Field => ({ path, words: path, kind: 'text' });
const number = (path: keyof typeof FIELD_WORDS): Field => ({ path, words: path, kind: 'number' });
const optional = (field: Field): Field => ({ ...field, optional: true });
/** A field whose words are kept under a group's name. */
const within = (
  group: 'port' | 'panel' | 'load' | 'hours',
  path: string,
  kind: Field['kind'] = 'number',
  must = false,
): Field => ({
  path,
  words: `${group}.${path}` as keyof typeof FIELD_WORDS,
  kind,
  ...(must ? {} : { optional: true }),
});

export const STATION_FIELDS: readonly Field[] = [text('name')];

export const KIND_FIELD: Field = {
  path: 'transport.kind',
  words: 'transport.kind',
  kind: 'choice',
  choices: ['serial', 'ble', 'tcp', 'process', 'typed', 'parts'],
};
export const ADAPTER_FIELD: Field = { ...text('adapter'), suggest: 'adapters' };

export const TRANSPORT_FIELDS: Readonly<Record<string, readonly Field[]>> = {
  serial: [{ ...text('transport.path'), suggest: 'ports' }, optional(number('transport.baud')), ADAPTER_FIELD],
  ble: [
    optional(text('transport.name')),
    optional(text('transport.service')),
    optional(text('transport.address')),
    ADAPTER_FIELD,
  ],
  tcp: [text('transport.host'), number('transport.port'), ADAPTER_FIELD],
  process: [{ ...text('transport.command'), kind: 'lines' }, ADAPTER_FIELD],
  typed: [],
  parts: [],
};

export const BATTERY_FIELDS: readonly Field[] = [
  optional(number('ratedWh')),
  optional(number('continuousW')),
  optional(number('surgeW')),
  optional(number('wallChargeW')),
  optional(number('idleW')),
  optional(number('reserveFloorPct')),
  optional(number('chargeCeilingPct')),
  optional(number('lowCutoffPct')),
  { path: 'outletsSleepAtLowLoad', words: 'outletsSleepAtLowLoad', kind: 'yes' },
  {
    path: 'inputSource',
    words: 'inputSource',
    kind: 'choice',
    choices: ['unknown', 'sun', 'wall', 'vehicle', 'generator'],
  },
  optional(number('paid')),
  optional(text('boughtOn')),
  optional(text('returnBy')),
  optional(number('warranty.thresholdPct')),
  {
    ...optional({ path: 'warranty.of', words: 'warranty.of', kind: 'choice' }),
    choices: ['rated', 'first'],
  },
  optional(text('warranty.until')),
  optional(number('warranty.cycles')),
];

export const PORT_FIELDS: readonly Field[] = [
  within('port', 'name', 'text'),
  within('port', 'maxW'),
  within('port', 'maxV'),
  within('port', 'minV'),
  within('port', 'maxA'),
];
export const PORT_MANUAL_FIELDS: readonly Field[] = [within('port', 'overCurrentAllowed', 'yes')];
export const LEAD_FIELDS: readonly Field[] = [
  within('port', 'lead.lengthM'),
  within('port', 'lead.conductorMm2'),
  within('port', 'lead.plugA'),
];

export const PANEL_FIELDS: readonly Field[] = [
  within('panel', 'name', 'text', true),
  within('panel', 'ratedW', 'number', true),
  within('panel', 'count'),
  within('panel', 'tiltDeg'),
  within('panel', 'azimuthDeg'),
  within('panel', 'paid'),
];
export const DATASHEET_FIELDS: readonly Field[] = [
  within('panel', 'openCircuitV'),
  within('panel', 'shortCircuitA'),
  within('panel', 'maxPowerV'),
  within('panel', 'maxPowerA'),
  within('panel', 'openCircuitPctPerK'),
  within('panel', 'powerPctPerK'),
  within('panel', 'maxSeriesFuseA'),
  within('panel', 'tolerancePct'),
  { ...within('panel', 'build', 'choice'), choices: ['rigid', 'folding'] },
];

export const LOAD_FIELDS: readonly Field[] = [
  within('load', 'name', 'text', true),
  within('load', 'powerW', 'number', true),
  within('load', 'mustStayOn', 'yes'),
];

export const PLACE_FIELDS: readonly Field[] = [
  optional(number('place.latitudeDeg')),
  optional(number('place.longitudeDeg')),
  optional(number('place.altitudeM')),
  { ...optional(number('place.coldestC')), temperature: true },
  { ...optional(number('place.hottestC')), temperature: true },
  optional(number('place.turbidity')),
  { ...optional(text('zone')), suggest: 'zones' },
];

export const TARIFF_FIELDS: readonly Field[] = [
  optional(number('tariff.perKWh')),
  { ...optional(text('tariff.currency')), suggest: 'currencies', capitals: true },
];

/** Hours of the week with a price of their own. */
export const HOURS_FIELDS: readonly Field[] = [
  within('hours', 'days', 'days', true),
  within('hours', 'fromHour', 'number', true),
  within('hours', 'toHour', 'number', true),
  within('hours', 'perKWh', 'number', true),
];

export const DISPLAY_FIELDS: readonly Field[] = [
  { path: 'display.temperature', words: 'display.temperature', kind: 'choice', choices: ['C', 'F'] },
  { path: 'display.clock', words: 'display.clock', kind: 'choice', choices: ['system', '24', '12'] },
];

export const RECORD_FIELDS: readonly Field[] = [
  optional(number('record.commitIntervalS')),
  optional(number('record.keepRawDays')),
];
