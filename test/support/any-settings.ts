/** Any settings the schema takes: for tests that write them and read them back. */

import fc from 'fast-check';
import * as v from 'valibot';
import { Settings } from '#messages';

const id = fc.stringMatching(/^[a-z0-9][a-z0-9-]{0,11}$/);
/** Text that would break a careless writer: quotes, backslashes, hashes, brackets, other alphabets. */
const name = fc
  .string({ unit: fc.constantFrom(...'ab "\'\\#[]={}\t\né蜂'), minLength: 1, maxLength: 12 })
  .filter(text => text.trim() !== '')
  .map(text => text.trim());
/** As a person writes them: three places after the point. */
const between = (min: number, max: number) => fc.integer({ min: min * 1000, max: max * 1000 }).map(x => x / 1000);

const link = fc.oneof(
  fc.record({ kind: fc.constant('serial'), path: name, baud: fc.constantFrom(9600, 115_200) }),
  fc.record({ kind: fc.constant('tcp'), host: name, port: fc.integer({ min: 1, max: 65_535 }) }),
  fc.record({ kind: fc.constant('process'), command: fc.array(name, { minLength: 1, maxLength: 3 }) }),
  fc.record(
    {
      kind: fc.constant('ble'),
      name,
      service: fc.constantFrom('180f', '6B1F00A0-0000-4000-8000-0000AABBCC01'),
      address: name,
    },
    { requiredKeys: ['kind', 'name'] },
  ),
  fc.record({ kind: fc.constant('typed') }),
);
const part = fc.record({
  name,
  adapter: fc.constantFrom('lines', 'sunspec-modbus'),
  transport: link,
  gives: fc.constantFrom(['solarPowerW'], ['outputPowerW', 'outputEnergyWh'], ['stateOfChargePct']),
});
const transport = fc.oneof(
  { weight: 4, arbitrary: link },
  {
    weight: 1,
    arbitrary: fc.record({
      kind: fc.constant('parts'),
      part: fc
        .uniqueArray(part, { minLength: 2, maxLength: 3, selector: ({ gives }) => gives[0] })
        .map(parts => parts.map((one, i) => ({ ...one, name: `${one.name}${i}` }))),
    }),
  },
);
const panel = fc.record(
  {
    name,
    ratedW: between(1, 2000),
    count: fc.integer({ min: 1, max: 4 }),
    tiltDeg: between(0, 90),
    openCircuitV: between(30, 60),
    maxPowerV: between(10, 29),
    openCircuitPctPerK: fc.constantFrom(-0.31, -0.27),
    build: fc.constantFrom('rigid', 'folding'),
  },
  { requiredKeys: ['name', 'ratedW'] },
);
const load = fc.record(
  { name, powerW: between(1, 20_000), mustStayOn: fc.boolean() },
  { requiredKeys: ['name', 'powerW'] },
);
const port = fc.record(
  {
    maxW: between(1, 20_000),
    minV: between(0, 1000),
    overCurrentAllowed: fc.boolean(),
    lead: fc.record({ lengthM: between(1, 50), plugA: between(1, 30) }, { requiredKeys: [] }),
  },
  { requiredKeys: [] },
);
const plan = fc.record(
  {
    load: fc.array(
      fc.record(
        { name, powerW: between(1, 20_000), startFactor: between(1, 20), hoursPerDay: between(0, 24) },
        { requiredKeys: ['name', 'powerW'] },
      ),
      { maxLength: 2 },
    ),
    dullDays: between(1, 14),
    outageReservePct: between(0, 95),
  },
  { requiredKeys: [] },
);
const hours = fc
  .record({
    days: fc.subarray(['mon', 'tue', 'sat', 'sun'] as const, { minLength: 1 }),
    fromHour: fc.integer({ min: 0, max: 22 }),
    perKWh: between(0, 100),
  })
  .map(told => ({ ...told, toHour: told.fromHour + 2 }));
const place = fc.record(
  {
    latitudeDeg: between(-90, 90),
    longitudeDeg: between(-180, 180),
    altitudeM: between(0, 3000),
    coldestC: between(-40, 10),
    hottestC: between(20, 50),
  },
  { requiredKeys: ['latitudeDeg', 'longitudeDeg'] },
);
const station = fc.record(
  {
    id,
    name,
    transport,
    ratedWh: between(10, 200_000),
    reserveFloorPct: between(0, 90),
    outletsSleepAtLowLoad: fc.boolean(),
    inputSource: fc.constantFrom('sun', 'wall', 'unknown'),
    idleW: between(0, 500),
    paid: between(0, 10_000),
    warranty: fc.record({ thresholdPct: between(1, 100) }),
    solarPort: fc.array(port, { maxLength: 2 }),
    panel: fc.array(panel, { maxLength: 3 }),
    load: fc.array(load, { maxLength: 3 }),
    surgeW: between(10, 100_000),
    plan,
    place,
    zone: fc.constantFrom('Europe/Lisbon', 'UTC'),
  },
  { requiredKeys: ['id', 'name', 'transport'] },
);

export const anySettings: fc.Arbitrary<Settings> = fc
  .record(
    {
      display: fc.record({ temperature: fc.constantFrom('C', 'F'), clock: fc.constantFrom('24', '12') }),
      tariff: fc.record(
        { perKWh: between(0, 100), currency: fc.constantFrom('EUR', 'ISK'), hours: fc.array(hours, { maxLength: 3 }) },
        { requiredKeys: ['perKWh', 'currency'] },
      ),
      alarm: fc.record(
        {
          webhook: fc.constantFrom('https://example.org/hook#1', 'http://192.168.1.5:8123/a?b="c"'),
          webhookSecretFile: name,
        },
        { requiredKeys: [] },
      ),
      record: fc.record({
        commitIntervalS: fc.integer({ min: 1, max: 60 }),
        keepRawDays: fc.oneof(fc.constant(0), fc.integer({ min: 7, max: 36_500 })),
      }),
      server: fc.record({ port: fc.integer({ min: 0, max: 65_535 }), lan: name }, { requiredKeys: ['port'] }),
      station: fc.uniqueArray(station, { maxLength: 3, selector: s => s.id }),
    },
    { requiredKeys: [] },
  )
  .map(raw => v.parse(Settings, raw));
