import { describe, expect, it } from 'vitest';
import { formatsFor } from '../../web/format.ts';
import { typedNumber } from '../../web/views/now/typed-number.ts';
import {
  check,
  freshStation,
  freshTransport,
  idFor,
  meaningOf,
  valueAt,
  withValue,
} from '../../web/views/setup/draft.ts';
import {
  BATTERY_FIELDS,
  DISPLAY_FIELDS,
  type Field,
  PANEL_FIELDS,
  PLACE_FIELDS,
  PORT_FIELDS,
  RECORD_FIELDS,
  STATION_FIELDS,
  TRANSPORT_FIELDS,
} from '../../web/views/setup/fields.ts';
import { setupSentence } from '../../web/views/setup/summary.ts';

const NUMBER: Field = { path: 'ratedWh', words: 'ratedWh', kind: 'number', optional: true };
const shed = {
  display: {},
  record: {},
  server: {},
  log: {},
  station: [{ id: 'shed', name: 'Honey shed', transport: { kind: 'tcp', host: 'shed.local', port: 4000 } }],
};
const wrong = (draft: unknown) => {
  const checked = check(draft);
  return checked.ok ? {} : Object.fromEntries(checked.wrong);
};

describe('a draft of the settings', () => {
  it('takes numbers as people write them, and keeps what is none for the schema to refuse', () => {
    expect(['1500', '1 500', '12,5', '-9.3', '\u22129,3', 'much'].map(text => meaningOf(NUMBER, text))).toEqual([
      1500,
      1500,
      12.5,
      -9.3,
      -9.3,
      'much',
    ]);
    expect(meaningOf(NUMBER, ' ')).toBeUndefined();
    expect(['41', '0,5', '-1', 'x', ''].map(typedNumber)).toEqual([41, 0.5, null, null, null]);
  });

  it('changes one place and nothing else', () => {
    const next = withValue(shed, 'station.0.transport.port', 5000);
    expect(valueAt(next, 'station.0.transport.port')).toBe(5000);
    expect(valueAt(shed, 'station.0.transport.port')).toBe(4000);
  });

  it('forgets a place when both coordinates are cleared', () => {
    const placed = withValue(withValue(shed, 'station.0.place.latitudeDeg', 45), 'station.0.place.longitudeDeg', 9);
    const half = withValue(placed, 'station.0.place.latitudeDeg', undefined);
    expect(Object.keys(wrong(half))).toEqual(['station.0.place.latitudeDeg']);
    expect(valueAt(withValue(half, 'station.0.place.longitudeDeg', undefined), 'station.0')).not.toHaveProperty(
      'place',
    );
    expect(check(withValue(half, 'station.0.place.longitudeDeg', undefined)).ok).toBe(true);
  });

  it('complains at the field, in words, with the limit', () => {
    expect(wrong(withValue(shed, 'station.0.reserveFloorPct', 95))).toEqual({
      'station.0.reserveFloorPct': 'Not above 90.',
    });
    expect(wrong(withValue(shed, 'station.0.ratedWh', 'much'))).toEqual({
      'station.0.ratedWh': 'This needs a number.',
    });
    expect(wrong(withValue(shed, 'station.0.name', ''))).toEqual({ 'station.0.name': 'This must not be empty.' });
    expect(wrong(withValue(shed, 'station.0.zone', 'Europe/Honey'))).toEqual({
      'station.0.zone': 'This needs an IANA time zone such as Europe/Lisbon.',
    });
    expect(wrong(withValue(shed, 'record.commitIntervalS', 2.5))).toEqual({
      'record.commitIntervalS': 'This needs a whole number.',
    });
  });

  it('starts a new station with what it needs but a port', () => {
    const draft = withValue(shed, 'station.1', freshStation(['shed']));
    expect(Object.keys(wrong(draft))).toEqual(['station.1.transport.path']);
    expect(check(withValue(draft, 'station.1.transport', freshTransport('typed'))).ok).toBe(true);
  });

  it('makes an id from a name, unlike the others', () => {
    expect([idFor('Honey shed', []), idFor('Bienenhäuschen!', []), idFor('  ', [])]).toEqual([
      'honey-shed',
      'bienenha-uschen',
      'station',
    ]);
    expect(idFor('Shed', ['shed', 'shed-2'])).toBe('shed-3');
  });

  it('has a field for everything a station can be told, and none that the schema refuses', () => {
    const group = (base: string, fields: readonly Field[]) =>
      fields.map(f => ({ at: base === '' ? f.path : `${base}.${f.path}`, field: f }));
    const kinds = ['serial', 'tcp', 'process', 'typed'];
    for (const kind of kinds) {
      const all = [
        ...group('station.0', [...STATION_FIELDS, ...TRANSPORT_FIELDS[kind]!, ...BATTERY_FIELDS, ...PLACE_FIELDS]),
        ...group('station.0.solarPort.0', PORT_FIELDS),
        ...group('station.0.panel.0', PANEL_FIELDS),
        ...group('', [...DISPLAY_FIELDS, ...RECORD_FIELDS]),
      ];
      let draft: unknown = withValue(
        { ...shed, station: [{ id: 'a', name: 'a', transport: { kind }, solarPort: [{}], panel: [{}] }] },
        'display',
        {},
      );
      for (const { at, field } of all) {
        const value =
          field.kind === 'number'
            ? field.path === 'transport.baud'
              ? 9600
              : 30
            : field.kind === 'yes'
              ? true
              : field.kind === 'lines'
                ? ['read']
                : field.kind === 'choice'
                  ? field.choices![0]
                  : field.path === 'zone'
                    ? 'Europe/Rome'
                    : 'lines';
        draft = withValue(draft, at, value);
      }
      expect(wrong(draft)).toEqual({});
    }
  });
});

describe('the sentence of Setup', () => {
  const formats = formatsFor('en-GB', 'C');
  const sentence = (draft: unknown) => {
    const checked = check(draft);
    if (!checked.ok) throw new Error(JSON.stringify(wrong(draft)));
    return setupSentence(checked.settings, 0, formats).replace(/[\u00a0\u202f]/g, ' ');
  };

  it('says which station, which panels, where', () => {
    const station = {
      ...shed.station[0]!,
      ratedWh: 1500,
      panel: [{ name: 'Folding', ratedW: 200, count: 2 }],
      place: { latitudeDeg: -45.5, longitudeDeg: 9 },
    };
    expect(sentence({ ...shed, station: [station] })).toBe('Honey shed: 1 500 Wh, 2 panels, 45.50° S 9.00° E.');
  });

  it('says what is not told', () => {
    expect(sentence(shed)).toBe('Honey shed: energy on the label not told, no panels told, place not told.');
    expect(sentence({ ...shed, station: [] })).toBe('No station set up yet.');
  });
});
