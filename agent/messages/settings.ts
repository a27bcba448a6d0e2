/**
 * The shape of the settings file, one schema for the file, the Setup view and the HTTP API. Keys carry their unit.
 * Every object is strict: an unknown key is an error, never ignored.
 */
import * as v from 'valibot';
import { QUANTITIES, type QuantityName } from '#kit/quantities';

const id = v.pipe(
  v.string(),
  v.regex(/^[a-z0-9][a-z0-9-]{0,39}$/, 'lower-case letters, digits and dashes, 40 at most'),
);
const text = (max: number) => v.pipe(v.string(), v.trim(), v.minLength(1), v.maxLength(max));
const between = (min: number, max: number) => v.pipe(v.number(), v.minValue(min), v.maxValue(max));
const whole = (min: number, max: number) => v.pipe(v.number(), v.integer(), v.minValue(min), v.maxValue(max));

/** Whether zones are taken as written for now. */
let presumed = false;

/** Reads settings without looking zones up, for a reader that checks them afterwards and need not load Intl. */
export function presumingZones<T>(read: () => T): T {
  presumed = true;
  try {
    return read();
  } finally {
    presumed = false;
  }
}

export const isZone = (zone: string): boolean => {
  if (presumed) return true;
  try {
    new Intl.DateTimeFormat('en', { timeZone: zone });
    return true;
  } catch (cause) {
    // Intl tells an unknown zone only by throwing RangeError; anything else is a fault of ours.
    if (cause instanceof RangeError) return false;
    throw cause;
  }
};

/** 4 digits of an assigned number, or 32, with or without dashes. */
const uuid = v.pipe(
  v.string(),
  v.trim(),
  v.regex(/^([0-9a-f]{4}|[0-9a-f]{8}-?([0-9a-f]{4}-?){3}[0-9a-f]{12})$/i, '4 or 32 hexadecimal digits'),
);

/** Whatever is told must fit. The address is one of six octets, or the id which macOS gives in its place. */
const BleSettings = v.pipe(
  v.strictObject({
    kind: v.literal('ble'),
    name: v.optional(text(60)),
    service: v.optional(uuid),
    address: v.optional(text(60)),
  }),
  v.forward(
    v.check(
      told => told.name !== undefined || told.service !== undefined || told.address !== undefined,
      'a name, a service or an address',
    ),
    ['name'],
  ),
);

const LINKS = [
  v.strictObject({ kind: v.literal('serial'), path: text(255), baud: v.optional(whole(300, 230_400), 115_200) }),
  v.strictObject({ kind: v.literal('tcp'), host: text(255), port: whole(1, 65_535) }),
  /** A program of the owner's that prints readings: argument array, never a shell line. */
  v.strictObject({ kind: v.literal('process'), command: v.pipe(v.array(text(1000)), v.minLength(1), v.maxLength(40)) }),
  /** Bluetooth LE. */
  BleSettings,
  /** No cable: the owner types numbers from the station's screen. */
  v.strictObject({ kind: v.literal('typed') }),
] as const;

/** How one part of a station comes to this machine. */
const PartTransport = v.variant('kind', LINKS);

/** One of the sources that a station is put together from. */
export const PartSettings = v.strictObject({
  /** As the owner calls it. */
  name: text(60),
  adapter: v.optional(id, 'lines'),
  transport: PartTransport,
  /** What it is there for. A meter that knows only its own power stands for the one power named here. */
  gives: v.pipe(v.array(v.picklist(Object.keys(QUANTITIES) as QuantityName[])), v.minLength(1, 'at least one')),
});

const PartsTransport = v.strictObject({
  kind: v.literal('parts'),
  part: v.pipe(
    v.array(PartSettings),
    v.check(list => list.length >= 2, 'two parts at least'),
    v.maxLength(8),
    v.check(list => new Set(list.map(part => part.name)).size === list.length, 'a name of its own for each part'),
    v.check(list => {
      const all = list.flatMap(part => part.gives);
      return new Set(all).size === all.length;
    }, 'each quantity from one part only'),
  ),
});

export const TransportSettings = v.variant('kind', [...LINKS, PartsTransport]);

/** Whether one setting lies below another; whichever is not told is not judged. */
const inOrder = (low: number | undefined, high: number | undefined): boolean =>
  low === undefined || high === undefined || low < high;

/**
 * One kind of panel, as many as `count` of them facing the same way. Electrical figures are the datasheet's, for one
 * panel at 1000 W/m² and 25 °C.
 */
export const PanelSettings = v.pipe(
  v.strictObject({
    name: text(60),
    ratedW: between(1, 2000),
    count: v.optional(whole(1, 40), 1),
    tiltDeg: v.optional(between(0, 90)),
    azimuthDeg: v.optional(between(0, 360)),
    /** Voc. */
    openCircuitV: v.optional(between(1, 500)),
    /** Isc. */
    shortCircuitA: v.optional(between(0.1, 50)),
    /** Vmp. */
    maxPowerV: v.optional(between(1, 500)),
    /** Imp. */
    maxPowerA: v.optional(between(0.1, 50)),
    /** Change of Voc a kelvin warmer, % of Voc: negative. */
    openCircuitPctPerK: v.optional(between(-1, -0.01)),
    /** Change of power a kelvin warmer, % of the rated power: negative. */
    powerPctPerK: v.optional(between(-1, -0.01)),
    maxSeriesFuseA: v.optional(between(1, 100)),
    /** How far Voc may lie above the label, %. */
    tolerancePct: v.optional(between(0, 20)),
    build: v.optional(v.picklist(['rigid', 'folding'])),
    /** What all of them cost together, in the tariff's currency. */
    paid: v.optional(between(0, 10_000_000)),
  }),
  v.forward(
    v.partialCheck(
      [['maxPowerV'], ['openCircuitV']],
      panel => inOrder(panel.maxPowerV, panel.openCircuitV),
      'less than openCircuitV',
    ),
    ['maxPowerV'],
  ),
  v.forward(
    v.partialCheck(
      [['maxPowerA'], ['shortCircuitA']],
      panel => inOrder(panel.maxPowerA, panel.shortCircuitA),
      'less than shortCircuitA',
    ),
    ['maxPowerA'],
  ),
);

/** The lead between the panels and the port; length one way. */
export const LeadSettings = v.strictObject({
  lengthM: v.optional(between(0.1, 200)),
  conductorMm2: v.optional(between(0.2, 70)),
  /** What its weakest plug is rated for. */
  plugA: v.optional(between(1, 200)),
});

export const SolarPortSettings = v.pipe(
  v.strictObject({
    name: v.optional(text(60)),
    maxW: v.optional(between(1, 20_000)),
    maxV: v.optional(between(1, 1000)),
    minV: v.optional(between(0, 1000)),
    maxA: v.optional(between(0.1, 200)),
    /** The owner read in the port's manual that a higher short-circuit current may be connected. */
    overCurrentAllowed: v.optional(v.boolean()),
    lead: v.optional(LeadSettings),
  }),
  v.forward(
    v.partialCheck([['minV'], ['maxV']], port => inOrder(port.minV, port.maxV), 'less than maxV'),
    ['minV'],
  ),
);

export const PlaceSettings = v.pipe(
  v.strictObject({
    latitudeDeg: between(-90, 90),
    longitudeDeg: between(-180, 180),
    altitudeM: v.optional(between(-450, 6000)),
    /** Coldest morning and hottest day to be reckoned with there. */
    coldestC: v.optional(between(-60, 40)),
    hottestC: v.optional(between(-20, 60)),
    /** Linke turbidity of a clear sky. */
    turbidity: v.optional(between(1, 10)),
  }),
  v.forward(
    v.partialCheck(
      [['coldestC'], ['hottestC']],
      place => inOrder(place.coldestC, place.hottestC),
      'less than hottestC',
    ),
    ['coldestC'],
  ),
);

/** Hours of the week with a price of their own; whole hours of the civil day, `toHour` not included. */
export const TariffHoursSettings = v.pipe(
  v.strictObject({
    days: v.pipe(
      v.array(v.picklist(['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'])),
      v.minLength(1, 'at least one'),
    ),
    fromHour: whole(0, 23),
    toHour: whole(1, 24),
    perKWh: between(0, 100_000),
  }),
  v.forward(
    v.partialCheck(
      [['fromHour'], ['toHour']],
      hours => hours.fromHour < hours.toHour,
      'later than fromHour; over midnight takes two entries',
    ),
    ['toHour'],
  ),
);

export const TariffSettings = v.strictObject({
  /** What a kilowatt-hour from the wall costs in hours that `hours` does not name, in `currency`. */
  perKWh: between(0, 100_000),
  /** Of several entries for one hour the last one holds. */
  hours: v.optional(v.pipe(v.array(TariffHoursSettings), v.maxLength(24))),
  /** ISO 4217. */
  currency: v.pipe(v.string(), v.regex(/^[A-Z]{3}$/, 'three capital letters (ISO 4217) such as EUR')),
});

/** A load the owner named: told again by its watts. */
export const LoadSettings = v.strictObject({
  name: text(60),
  powerW: between(1, 20_000),
  /** Never suggested to be left off. */
  mustStayOn: v.optional(v.boolean(), false),
});

/** A load one thinks of running: it may not be plugged in yet. */
export const PlannedLoadSettings = v.strictObject({
  name: text(60),
  /** While it runs. */
  powerW: between(0.1, 20_000),
  /** What it draws for a moment when it starts, as a multiple of `powerW`. */
  startFactor: v.optional(between(1, 20), 1),
  /** How long it runs, all its runs of a day together. */
  hoursPerDay: v.optional(between(0, 24), 24),
  count: v.optional(whole(1, 40), 1),
  /** Cannot be left off. */
  mustStayOn: v.optional(v.boolean(), false),
});

export const PlanSettings = v.strictObject({
  load: v.optional(v.pipe(v.array(PlannedLoadSettings), v.maxLength(40)), []),
  /** So many dull days in a row the station is to carry. */
  dullDays: v.optional(between(0.5, 14), 1.5),
  /** Kept for an outage when charging goes by the price, %; the floor where left out. */
  outageReservePct: v.optional(between(0, 95)),
});

/** `YYYY-MM-DD`. */
const civilDay = v.pipe(v.string(), v.isoDate('a date such as 2026-06-21'));

/** What was promised of the energy that is usable after years. */
export const WarrantySettings = v.strictObject({
  /** At least so much of it is left… */
  thresholdPct: between(1, 100),
  /** …of the label, as where left out, or of what the first trial delivered. */
  of: v.optional(v.picklist(['rated', 'first'])),
  until: v.optional(civilDay),
  /** …or until so many full cycles. */
  cycles: v.optional(whole(1, 100_000)),
});

export const StationSettings = v.strictObject({
  id,
  name: text(60),
  adapter: v.optional(id, 'lines'),
  transport: TransportSettings,
  /** Energy on the station's label, Wh. */
  ratedWh: v.optional(between(10, 200_000)),
  /** What it cost, in the tariff's currency. */
  paid: v.optional(between(0, 10_000_000)),
  /** Since when it is the owner's, and the last day to give it back. */
  boughtOn: v.optional(civilDay),
  returnBy: v.optional(civilDay),
  warranty: v.optional(WarrantySettings),
  /** What its AC outlets give together for as long as it lasts, and for a moment, W. */
  continuousW: v.optional(between(10, 50_000)),
  surgeW: v.optional(between(10, 100_000)),
  /** What it takes from a wall socket, W. */
  wallChargeW: v.optional(between(5, 20_000)),
  /** What the station draws for itself while its outlets are on and nothing is plugged in, W. */
  idleW: v.optional(between(0, 500)),
  /** The owner's minimum state of charge. */
  reserveFloorPct: v.optional(between(0, 90), 10),
  /** Where the owner stops charging. */
  chargeCeilingPct: v.optional(between(10, 100), 100),
  /** State of charge at which the station itself switches its outlets off. */
  lowCutoffPct: v.optional(between(0, 50), 0),
  /** The station switches its outlets off at low load. */
  outletsSleepAtLowLoad: v.optional(v.boolean(), false),
  /** What its input is, where the adapter cannot tell. Unknown is never harvest. */
  inputSource: v.optional(v.picklist(['sun', 'wall', 'vehicle', 'generator', 'unknown']), 'unknown'),
  solarPort: v.optional(v.array(SolarPortSettings), []),
  panel: v.optional(v.array(PanelSettings), []),
  load: v.optional(v.array(LoadSettings), []),
  plan: v.optional(PlanSettings),
  place: v.optional(PlaceSettings),
  zone: v.optional(v.pipe(v.string(), v.check(isZone, 'an IANA time zone such as Europe/Lisbon'))),
});

export const AlarmSettings = v.strictObject({
  /** Is told of each alarm as a CloudEvent; nobody is where left out. */
  webhook: v.optional(
    v.pipe(
      text(2000),
      v.regex(
        /^https?:\/\/[^\s/@?#]+([/?#]\S*)?$/i,
        'an http:// or https:// address without a name and password in it',
      ),
    ),
  ),
  /** Holds what it is signed with; made in the data folder where left out. */
  webhookSecretFile: v.optional(text(1000)),
});

export const Settings = v.strictObject({
  display: v.optional(
    v.strictObject({
      temperature: v.optional(v.picklist(['C', 'F']), 'C'),
      clock: v.optional(v.picklist(['24', '12', 'system']), 'system'),
    }),
    {},
  ),
  record: v.optional(
    v.strictObject({
      commitIntervalS: v.optional(whole(1, 60), 10),
      /** Readings are kept as they came for so many days, minutes for ever; 0: readings too. */
      keepRawDays: v.optional(
        v.pipe(
          whole(0, 36_500),
          v.check(days => days === 0 || days >= 7, '7 days at least, or 0 for ever'),
        ),
        90,
      ),
    }),
    {},
  ),
  server: v.optional(
    v.strictObject({
      host: v.optional(text(255), '127.0.0.1'),
      port: v.optional(whole(0, 65_535), 7420),
      /** The network interface it is shared on beside this machine; none where left out. */
      lan: v.optional(text(64)),
    }),
    {},
  ),
  tariff: v.optional(TariffSettings),
  alarm: v.optional(AlarmSettings),
  log: v.optional(v.strictObject({ level: v.optional(v.picklist(['error', 'warn', 'info', 'debug']), 'info') }), {}),
  station: v.optional(
    v.pipe(
      v.array(StationSettings),
      v.maxLength(50),
      v.check(list => new Set(list.map(s => s.id)).size === list.length, 'every station needs an id of its own'),
    ),
    [],
  ),
});

export type Settings = v.InferOutput<typeof Settings>;
export type StationSettings = v.InferOutput<typeof StationSettings>;
export type PlannedLoadSettings = v.InferOutput<typeof PlannedLoadSettings>;
export type PlanSettings = v.InferOutput<typeof PlanSettings>;
export type LoadSettings = v.InferOutput<typeof LoadSettings>;
export type PanelSettings = v.InferOutput<typeof PanelSettings>;
export type SolarPortSettings = v.InferOutput<typeof SolarPortSettings>;
export type PlaceSettings = v.InferOutput<typeof PlaceSettings>;
export type TariffSettings = v.InferOutput<typeof TariffSettings>;
export type TransportSettings = v.InferOutput<typeof TransportSettings>;
export type PartSettings = v.InferOutput<typeof PartSettings>;
