import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  LeadSettings,
  LoadSettings,
  PanelSettings,
  PlaceSettings,
  SolarPortSettings,
  StationSettings,
  TariffHoursSettings,
  TariffSettings,
  WarrantySettings,
} from '#messages';
import { formatsFor } from '../../web/format.ts';
import { typedNumber } from '../../web/views/now/typed-number.ts';
import {
  check,
  freshEntry,
  freshStation,
  freshTransport,
  idFor,
  meaningOf,
  textOf,
  valueAt,
  withValue,
} from '../../web/views/setup/draft.ts';
import { whyOf } from '../../web/views/setup/field-row.ts';
import {
  BATTERY_FIELDS,
  DATASHEET_FIELDS,
  DISPLAY_FIELDS,
  type Field,
  HOURS_FIELDS,
  KIND_FIELD,
  LEAD_FIELDS,
  LOAD_FIELDS,
  PANEL_FIELDS,
  PLACE_FIELDS,
  PORT_FIELDS,
  PORT_MANUAL_FIELDS,
  RECORD_FIELDS,
  STATION_FIELDS,
  TARIFF_FIELDS,
  TRANSPORT_FIELDS,
} from '../../web/views/setup/fields.ts';
import { PART_KIND, partFields } from '../../web/views/setup/part-form.ts';
import { askPosition, type Locator } from '../../web/views/setup/position.ts';
import { rangeAt } from '../../web/views/setup/range.ts';
import { foldsAround } from '../../web/views/setup/station-form.ts';
import { setupSentence } from '../../web/views/setup/summary.ts';
import { batteryTold, panelsTold, placeTold, portsTold, tariffTold } from '../../web/views/setup/told.ts';
import { FIELD_WORDS, type FieldWords } from '../../web/words/setup.ts';

const NUMBER: Field = { path: 'ratedWh', words: 'ratedWh', kind: 'number', optional: true };
const shed = {
  display: {},
  record: {},
  server: {},
  log: {},
  station: [{ id: 'shed', name: 'Honey shed', transport: { kind: 'tcp', host: 'shed.local', port: 4000 } }],
};
const EVERYTHING = (kind: string): [base: string, fields: readonly Field[]][] => [
  ['station.0', [...STATION_FIELDS, KIND_FIELD, ...TRANSPORT_FIELDS[kind]!, ...BATTERY_FIELDS, ...PLACE_FIELDS]],
  ['station.0.solarPort.0', [...PORT_FIELDS, ...PORT_MANUAL_FIELDS, ...LEAD_FIELDS]],
  ['station.0.panel.0', [...PANEL_FIELDS, ...DATASHEET_FIELDS]],
  ['station.0.load.0', LOAD_FIELDS],
  ['', [...DISPLAY_FIELDS, ...RECORD_FIELDS, ...TARIFF_FIELDS]],
  ['tariff.hours.0', HOURS_FIELDS],
];
const everyField = (kind: string) =>
  EVERYTHING(kind).flatMap(([base, fields]) =>
    fields
      .filter(f => f !== KIND_FIELD)
      .map(field => ({ at: base === '' ? field.path : `${base}.${field.path}`, field })),
  );
/** The example beside the field, as it would be typed. */
const exampleOf = (field: Field): unknown => {
  const [, , example] = FIELD_WORDS[field.words] as FieldWords;
  if (field.kind === 'yes') return true;
  if (field.kind === 'choice') return field.choices![0];
  if (field.kind === 'days') return ['mon'];
  return field.kind === 'lines' ? ['read'] : meaningOf(field, example!);
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

  it('has a field for everything a station can be told, each with an example that the schema takes', () => {
    for (const kind of ['serial', 'tcp', 'process', 'typed']) {
      let draft: unknown = { ...shed, display: {}, station: [{ id: 'a', name: 'a', transport: { kind } }] };
      draft = withValue(draft, 'station.0.solarPort', [{}]);
      draft = withValue(draft, 'station.0.panel', [{}]);
      draft = withValue(draft, 'station.0.load', [{}]);
      draft = withValue(draft, 'tariff', { hours: [{}] });
      for (const { at, field } of everyField(kind)) draft = withValue(draft, at, exampleOf(field));
      expect(wrong(draft)).toEqual({});
    }
    const tables = [
      [
        'station.0',
        StationSettings.entries,
        ['id', 'transport', 'solarPort', 'panel', 'load', 'plan', 'place', 'warranty'],
      ],
      ['station.0.load.0', LoadSettings.entries, []],
      ['station.0.solarPort.0', SolarPortSettings.entries, ['lead']],
      ['station.0.solarPort.0.lead', LeadSettings.entries, []],
      ['station.0.panel.0', PanelSettings.entries, []],
      ['station.0.place', PlaceSettings.entries, []],
      ['station.0.warranty', WarrantySettings.entries, []],
      ['tariff', TariffSettings.entries, ['hours']],
      ['tariff.hours.0', TariffHoursSettings.entries, []],
    ] as const;
    const asked = new Set(everyField('serial').map(({ at }) => at));
    for (const [base, entries, apart] of tables) {
      const keys = Object.keys(entries).filter(key => !(apart as readonly string[]).includes(key));
      expect(keys.filter(key => !asked.has(`${base}.${key}`))).toEqual([]);
    }
  });

  it('says beside a field why it is asked, what may stand there and an example', () => {
    const voc = DATASHEET_FIELDS.find(f => f.path === 'openCircuitPctPerK')!;
    expect(whyOf(voc, 'station.0.panel.0.openCircuitPctPerK', 'C')).toBe(
      'Negative: the colder, the more volts. Empty: a cautious table is used, and said. \u22121 to \u22120.01, such as \u22120.31.',
    );
    const coldest = PLACE_FIELDS.find(f => f.path === 'place.coldestC')!;
    expect(whyOf(coldest, 'station.0.place.coldestC', 'C')).toMatch(/\u221260 to 40, such as \u221215\.$/);
    expect(whyOf(coldest, 'station.0.place.coldestC', 'F')).toMatch(/\u221276 to 104, such as 5\.$/);
    expect(whyOf(KIND_FIELD, 'station.0.transport.kind', 'C')).toBe('How its readings come to this machine.');
    for (const { at } of everyField('tcp').filter(f => f.field.kind === 'number'))
      expect([at, rangeAt(at)]).toEqual([at, { low: expect.any(Number), high: expect.any(Number) }]);
  });

  it('names the two fields that contradict each other', () => {
    const panel = { name: 'a', ratedW: 90, openCircuitV: 18, maxPowerV: 19, shortCircuitA: 5, maxPowerA: 5 };
    const place = { latitudeDeg: 1, longitudeDeg: 1, coldestC: 30, hottestC: 20 };
    const station = [{ ...shed.station[0], panel: [panel], solarPort: [{ minV: 60, maxV: 20 }], place }];
    expect(wrong({ ...shed, station })).toEqual({
      'station.0.panel.0.maxPowerV': 'This must be below the open-circuit voltage.',
      'station.0.panel.0.maxPowerA': 'This must be below the short-circuit current.',
      'station.0.solarPort.0.minV': 'This must be below the most voltage.',
      'station.0.place.coldestC': 'This must be below the hottest day.',
    });
  });

  it('takes hours of the week with a price of their own, and tells at the field what is wrong with them', () => {
    const hours = freshEntry('tariff.hours');
    const draft = (more: object) => ({
      ...shed,
      tariff: { perKWh: 0.34, currency: 'EUR', hours: [{ ...hours, fromHour: 22, toHour: 24, perKWh: 0.19, ...more }] },
    });
    expect(wrong(draft({}))).toEqual({});
    expect(wrong(draft({ toHour: 6 }))).toEqual({
      'tariff.hours.0.toHour': 'This must be later than its beginning; over midnight takes two entries.',
    });
    expect(wrong(draft({ days: [], fromHour: 24, perKWh: 'dear' }))).toMatchObject({
      'tariff.hours.0.days': 'This must not be empty.',
      'tariff.hours.0.fromHour': 'Not above 23.',
      'tariff.hours.0.perKWh': 'This needs a number.',
    });
    expect(foldsAround('tariff.hours.0.toHour')).toEqual(['tariff']);
    expect(foldsAround('station.0.paid')).toEqual(['battery']);
    const formats = formatsFor('en-GB', 'C');
    expect(tariffTold(draft({}), formats)).toBe('0.34 EUR a kWh, one stretch of hours with another price');
  });

  it('opens the groups around a complaint', () => {
    const around = (path: string) => foldsAround(path);
    expect(around('station.0.panel.1.maxPowerV')).toEqual(['panels', 'datasheet station.0.panel.1']);
    expect(around('station.0.panel.1.ratedW')).toEqual(['panels']);
    expect(around('station.0.solarPort.0.lead.plugA')).toEqual(['ports', 'lead station.0.solarPort.0']);
    expect(around('station.0.place.coldestC')).toEqual(['place']);
    expect(around('station.2.reserveFloorPct')).toEqual(['battery']);
    expect(around('tariff.currency')).toEqual(['tariff']);
    expect(around('station.0.load.2.powerW')).toEqual(['loads']);
    expect(around('station.0.name')).toEqual([]);
  });
});

describe('temperatures in Setup', () => {
  const COLDEST = PLACE_FIELDS.find(f => f.path === 'place.coldestC')!;

  it('are °C in the settings whatever the screen shows, and show again what was typed', () => {
    expect(meaningOf(COLDEST, '5', 'F')).toBe(-15);
    expect(meaningOf(COLDEST, '-15', 'C')).toBe(-15);
    expect(textOf(COLDEST, -15, 'F')).toBe('5');
    fc.assert(
      fc.property(fc.integer({ min: -760, max: 1040 }), tenths => {
        const typed = String(tenths / 10);
        expect(textOf(COLDEST, meaningOf(COLDEST, typed, 'F'), 'F')).toBe(typed);
      }),
    );
  });

  it('are refused in the unit of the screen', () => {
    const place = { latitudeDeg: 1, longitudeDeg: 1, coldestC: -80 };
    const draft = (temperature: string) => ({
      ...shed,
      display: { temperature },
      station: [{ ...shed.station[0], place }],
    });
    expect(wrong(draft('C'))).toEqual({ 'station.0.place.coldestC': 'Not below \u221260.' });
    expect(wrong(draft('F'))).toEqual({ 'station.0.place.coldestC': 'Not below \u221276.' });
  });
});

describe('the browser’s position', () => {
  const found = (latitude: number, longitude: number, altitude: number | null): Locator => ({
    getCurrentPosition: done => done({ coords: { latitude, longitude, altitude } }),
  });
  const failing = (code: number): Locator => ({ getCurrentPosition: (_, failed) => failed({ code }) });

  it('is taken to about a hundred metres', async () => {
    expect(await askPosition(found(45.512_345, -9.204_9, 312.4))).toEqual({
      ok: true,
      position: { latitudeDeg: 45.512, longitudeDeg: -9.205, altitudeM: 312 },
    });
    expect(await askPosition(found(1, 2, null))).toMatchObject({ position: { altitudeM: null } });
  });

  it('tells refused from not known', async () => {
    expect(await askPosition(failing(1))).toEqual({ ok: false, why: 'refused' });
    expect(await askPosition(failing(2))).toEqual({ ok: false, why: 'unknown' });
    expect(await askPosition(failing(3))).toEqual({ ok: false, why: 'unknown' });
  });
});

describe('what a closed group holds', () => {
  const formats = formatsFor('en-GB', 'C');
  const base = 'station.0';
  const plainly = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
  const told = (station: object) => {
    const draft = { station: [station] };
    return [batteryTold, portsTold, panelsTold, placeTold].map(tell => plainly(tell(draft, base, formats)));
  };

  it('is told in a few words', () => {
    expect(
      told({
        ratedWh: 1640,
        reserveFloorPct: 15,
        solarPort: [{ minV: 16, maxV: 82, maxA: 9, maxW: 400 }],
        panel: [{ ratedW: 90, count: 3 }, { ratedW: 145.5 }],
        place: { latitudeDeg: 45.5, longitudeDeg: -9, coldestC: -15 },
      }),
    ).toEqual([
      '1 640 Wh, floor 15 %',
      '16–82 V, 9 A, 400 W',
      '3 × 90 W, 1 × 146 W',
      '45.50° N 9.00° W, coldest −15 °C',
    ]);
    expect(plainly(tariffTold({ tariff: { perKWh: 0.31, currency: 'EUR' } }, formats))).toBe('0.31 EUR a kWh');
  });

  it('says what is not told, and leaves out what is not valid yet', () => {
    expect(told({ solarPort: [{}], panel: [{ ratedW: 'much' }] })).toEqual([
      'energy on the label not told',
      'limits not told',
      'not told',
      'not told',
    ]);
    expect(tariffTold({}, formats)).toBe('not told');
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

describe('a station of several sources in Setup', () => {
  const part = (n: number) => `station.0.transport.part.${n}`;
  const put = (draft: unknown, path: string, value: unknown) => withValue(draft as object, path, value) as unknown;
  const begun = put({ ...shed }, 'station.0.transport', freshTransport('parts'));

  it('begins with two parts to fill in, and is complained about field by field until they are', () => {
    const judged = check(begun);
    expect(judged.ok).toBe(false);
    if (judged.ok) return;
    expect(judged.wrong.get(`${part(0)}.name`)).toBe('This must not be empty.');
    expect(judged.wrong.get(`${part(1)}.gives`)).toBe('This must not be empty.');
  });

  it('is saved once each part has a name, a link and what it gives', () => {
    let draft = begun;
    const gives = ['solarPowerW', 'outputPowerW'];
    for (const [n, quantity] of gives.entries()) {
      const [, , , field] = partFields('serial').slice(-4);
      draft = put(draft, `${part(n)}.name`, `Meter ${n}`);
      draft = put(draft, `${part(n)}.transport.path`, `/dev/ttyUSB${n}`);
      draft = put(draft, `${part(n)}.gives`, meaningOf(field!, quantity));
    }
    draft = put(draft, part(2), { ...freshEntry('station.0.transport.part'), name: 'Screen' });
    draft = put(draft, `${part(2)}.transport`, freshTransport('typed'));
    draft = put(draft, `${part(2)}.gives`, ['stateOfChargePct']);
    const judged = check(draft);
    expect(judged).toMatchObject({ ok: true });
  });

  it('offers every way of reading a part but a part of parts, each with its fields and words', () => {
    expect(KIND_FIELD.choices).toContain('parts');
    expect(PART_KIND.choices).not.toContain('parts');
    for (const kind of PART_KIND.choices!) {
      for (const field of partFields(kind)) {
        expect(FIELD_WORDS[field.words][0]).not.toBe('');
        if (field.kind === 'number') expect(rangeAt(`${part(0)}.${field.path}`)).not.toBeNull();
      }
    }
  });

  it('tells when two parts give the same', () => {
    const same = { transport: { kind: 'typed' }, gives: ['outputPowerW'] };
    const list = [
      { ...same, name: 'One' },
      { ...same, name: 'Two' },
    ];
    const judged = check(put(begun, 'station.0.transport.part', list));
    expect(judged.ok ? '' : judged.wrong.get('station.0.transport.part')).toBe(
      'This needs each quantity from one part only.',
    );
  });
});
