/**
 * Everything that travels between agent and page, one schema each. Instants on the wire are ISO 8601 (`…Z`),
 * durations `…Ms`. The page checks what it gets and the agent checks what it gets with the same schemas.
 */
import * as v from 'valibot';
import { SCOPES } from './scope.ts';

/** Raised when a page of an older build can no longer understand the agent. */
export const PROTOCOL_VERSION = 1;
/** Unacknowledged messages a client may have; beyond it only the newest value of each kind waits. */
export const ACK_WINDOW = 10;
export const HEARTBEAT_MS = 5_000;
/** A client message longer than this closes the socket with 1009. */
export const MAX_CLIENT_MESSAGE_BYTES = 4_096;

const instant = v.pipe(v.string(), v.isoTimestamp());
const maybe = <T extends v.GenericSchema>(schema: T) => v.nullable(schema);
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const value = v.nullable(v.number());

const tri = v.union([v.boolean(), v.literal('unknown')]);
export const WireStates = v.object({
  acOutletsOn: v.optional(tri),
  dcOutletsOn: v.optional(tri),
  onMains: v.optional(tri),
  inputLimitedBy: v.optional(v.picklist(['nothing', 'full', 'port', 'cold', 'owner', 'unknown'])),
  inputSource: v.optional(v.picklist(['sun', 'wall', 'vehicle', 'generator', 'unknown'])),
  fault: v.optional(v.string()),
});

export const WireReading = v.object({
  station: v.string(),
  session: v.string(),
  seq: count,
  at: instant,
  clock: v.picklist(['synced', 'stepped', 'unknown']),
  quantities: v.record(v.string(), value),
  states: WireStates,
  quality: v.picklist(['good', 'uncertain', 'bad']),
  reasons: v.record(v.string(), v.string()),
  typed: v.optional(v.literal(true)),
});

/** Where a station's link stands. The page turns the words into sentences. */
export const WireStatus = v.object({
  station: v.string(),
  phase: v.picklist([
    'connecting',
    'waiting',
    'live',
    'stale',
    'retrying',
    'parked',
    'typed',
    /** Let go by the owner's word; taken up again by itself. */
    'released',
    /** Put away by the owner's word. */
    'away',
  ]),
  /** What went wrong last; absent while nothing did. */
  failure: v.optional(v.string()),
  detail: v.optional(v.string()),
  attempt: count,
  attemptsAllowed: count,
  nextTryInMs: maybe(v.number()),
  /** Age after which a reading is stale: max(5 s, 3 × interval); null for a source that speaks only on change. */
  staleAfterMs: maybe(v.number()),
  /** The port, host or program being read, as the owner wrote it. */
  link: v.string(),
  accepted: count,
  rejected: v.record(v.string(), count),
  /** It seems to tell other units than before; its readings are refused until the owner confirms. */
  units: v.optional(v.object({ quantity: v.string(), as: v.string(), was: v.number(), is: v.number() })),
  /** Readings keep coming and nothing in them has changed for so long: it may be frozen. Absent where that is not odd. */
  unchangedMs: v.optional(v.number()),
  /** Of a station made of parts: how each stands. */
  parts: v.optional(
    v.array(
      v.object({
        name: v.string(),
        gives: v.array(v.string()),
        /** What it gives is not known now. */
        missing: v.boolean(),
        phase: v.string(),
        failure: v.optional(v.string()),
        detail: v.optional(v.string()),
        link: v.string(),
        /** Since its last reading; null: none yet. */
        ageMs: maybe(v.number()),
      }),
    ),
  ),
});

export const WireStation = v.object({
  id: v.string(),
  name: v.string(),
  adapter: v.string(),
  transport: v.string(),
  simulated: v.boolean(),
  zone: v.string(),
  ratedWh: maybe(v.number()),
  reserveFloorPct: v.number(),
  chargeCeilingPct: v.number(),
  lowCutoffPct: v.number(),
  /** Highest watts its solar ports take together, or null where not told. */
  solarMaxW: maybe(v.number()),
  /** Quantities seen or declared; views offer only these. */
  gives: v.array(v.string()),
  inputSource: v.picklist(['sun', 'wall', 'vehicle', 'generator', 'unknown']),
  place: maybe(v.object({ latitudeDeg: v.number(), longitudeDeg: v.number() })),
});

/** p50 or p90 is null where that moment lies past the horizon: "later than can be said". */
const moments = v.object({ p10: instant, p50: maybe(instant), p90: maybe(instant) });
export const WireProjection = v.object({
  station: v.string(),
  madeAt: instant,
  /** What the numbers head for. `steady`: neither within the horizon. `none`: not enough to say, see `why`. */
  toward: v.picklist(['empty', 'full', 'steady', 'none']),
  why: v.picklist(['ok', 'noStateOfCharge', 'noPower', 'noRatedWh', 'noHistory', 'stale', 'atFloor', 'atFull']),
  /** Less history than the shortest trusted window: said in words. */
  early: v.boolean(),
  /** What makes it less sure than usual: the gauge was blind or corrected, the load is unlike its past, the range is wide. */
  doubts: v.array(v.picklist(['gap', 'jump', 'newRegime', 'wide'])),
  /** On mains everything is said as "if the power failed now". */
  onMains: v.boolean(),
  floorPct: v.number(),
  ceilingPct: v.number(),
  /** The floor is reached. */
  emptyAt: maybe(moments),
  /** The outlets stop. */
  stopsAt: maybe(moments),
  fullAt: maybe(moments),
  /** The floor by the label and the load of the last minutes alone, where nothing better can be said yet. */
  byLabel: maybe(moments),
  /** Energy above the floor that can be delivered, Wh. */
  leftWh: maybe(v.number()),
  /** Time of `toward`, at 5 % steps of probability; null past the horizon. */
  quantiles: v.array(v.object({ p: v.number(), at: maybe(instant) })),
  /** State of charge ahead: columns of equal length, one row each `stepMs` from `startAt`. */
  fan: maybe(
    v.object({
      startAt: instant,
      stepMs: v.number(),
      p5: v.array(v.number()),
      p10: v.array(v.number()),
      p25: v.array(v.number()),
      p50: v.array(v.number()),
      p75: v.array(v.number()),
      p90: v.array(v.number()),
      p95: v.array(v.number()),
    }),
  ),
  /** The rolling averages it rests on. */
  windows: v.array(v.object({ minutes: v.number(), inputW: v.number(), outputW: v.number(), coverage: v.number() })),
  /** What this station's percent is worth and what it draws for itself, with standard deviations; ticks it was learned from. */
  learned: maybe(
    v.object({
      acWhPerPct: v.number(),
      acWhPerPctSd: v.number(),
      ownW: v.number(),
      ownWSd: v.number(),
      /** Battery watts for each watt going out, and the share of an incoming one that is stored. */
      outCost: v.number(),
      inWorth: v.number(),
      ticks: count,
    }),
  ),
  /** What cycles and has not drawn for three of its cycles: the outlets may have switched off. */
  quiet: v.array(v.object({ name: maybe(v.string()), powerW: v.number(), sinceAt: instant })),
  /** Of the last `of` ranges, `held` came true; eight in ten are promised. */
  score: v.object({ held: count, of: count }),
  assumptions: v.object({
    ratedWh: maybe(v.number()),
    /** Input from the sun is counted until here. */
    sunUntilAt: maybe(instant),
    /** The light expected: over the place told, or a usual day by the clock where none was; null where no sun is expected. */
    sky: maybe(v.picklist(['place', 'usualDay'])),
  }),
});

export const WireDay = v.object({
  date: v.string(),
  zone: v.string(),
  solarWh: v.number(),
  inputWh: v.number(),
  outputWh: v.number(),
  /** Share of the day so far that was recorded, 0-100. */
  coveragePct: v.number(),
  coveredMs: count,
  gapMs: count,
  solarPeakW: v.number(),
  stateOfChargeMinPct: value,
  stateOfChargeMaxPct: value,
});

/** The last hour and today, for the small table under the drawing. */
export const WireTally = v.object({
  station: v.string(),
  lastHour: v.object({ inputWh: v.number(), outputWh: v.number(), stateOfChargeChangePct: value }),
  today: WireDay,
});

export const WireHealth = v.object({
  version: v.string(),
  uptimeMs: count,
  demo: v.boolean(),
  saved: v.object({
    lastSavedAt: maybe(instant),
    commitIntervalMs: count,
    trouble: maybe(v.picklist(['DISK_FULL', 'DISK_READ_ONLY', 'RECORD_DAMAGED'])),
    troubleSinceAt: maybe(instant),
    /** Size of the write-ahead log beside the record. */
    logBytes: v.optional(count),
    /** What else there is to know of the record, as sentences. */
    notes: v.optional(v.array(v.string())),
  }),
  clock: v.picklist(['synced', 'stepped', 'unknown']),
  /** What else keeps the agent from its work, as sentences. */
  notes: v.optional(v.array(v.string())),
  clients: count,
  /** What was refused, by kind, since the start. */
  refused: v.record(v.string(), count),
});

const numbered = { n: count };
export const ServerMessage = v.variant('type', [
  v.object({
    type: v.literal('hello'),
    ...numbered,
    protocol: v.number(),
    version: v.string(),
    demo: v.boolean(),
    now: instant,
    heartbeatMs: v.number(),
    ackWindow: v.number(),
    display: v.object({ temperature: v.picklist(['C', 'F']), clock: v.picklist(['24', '12', 'system']) }),
    stations: v.array(WireStation),
    /** What this client may. */
    scope: v.optional(v.picklist(SCOPES)),
  }),
  /** `ageMs` by the agent's monotonic clock at the moment of sending: the page never compares two wall clocks. */
  v.object({ type: v.literal('reading'), ...numbered, ageMs: v.number(), reading: WireReading }),
  v.object({ type: v.literal('status'), ...numbered, status: WireStatus }),
  v.object({ type: v.literal('projection'), ...numbered, projection: WireProjection }),
  v.object({ type: v.literal('day'), ...numbered, tally: WireTally }),
  /** Read as `WireAim` by the view that asked for it: its schema is not part of what every page loads first. */
  v.object({ type: v.literal('aim'), ...numbered, aim: v.looseObject({ station: v.string() }) }),
  /** Read as `WireAlarm` by what shows them, which is loaded with the first one. */
  v.object({ type: v.literal('alarms'), ...numbered, alarms: v.array(v.looseObject({})) }),
  /** Something has become of trials: whoever shows one that runs asks for it anew. */
  v.object({ type: v.literal('trials'), ...numbered }),
  v.object({ type: v.literal('health'), ...numbered, health: WireHealth }),
  v.object({ type: v.literal('beat'), ...numbered }),
]);

export const ClientMessage = v.variant('type', [
  /** Which stations' messages are wanted; empty: all. `protocol` as the page knows it. */
  v.strictObject({
    type: v.literal('subscribe'),
    protocol: v.number(),
    stations: v.pipe(v.array(v.pipe(v.string(), v.maxLength(40))), v.maxLength(50)),
    /** `aim` messages too, of the station named; a new subscription replaces the one before. */
    aim: v.optional(v.pipe(v.string(), v.maxLength(40))),
    /** The page's clock: may correct an agent that woke without one. */
    now: instant,
  }),
  /** Everything up to number n has been shown. */
  v.strictObject({ type: v.literal('ack'), n: count }),
]);

export const SeriesAnswer = v.object({
  station: v.string(),
  startAt: instant,
  stepMs: v.number(),
  count: count,
  columns: v.record(v.string(), v.object({ min: v.array(value), mean: v.array(value), max: v.array(value) })),
});
export const DaysAnswer = v.object({ station: v.string(), zone: v.string(), days: v.array(WireDay) });
export const StationsAnswer = v.object({ stations: v.array(WireStation) });
export const NowAnswer = v.object({
  reading: maybe(WireReading),
  ageMs: maybe(v.number()),
  status: WireStatus,
});
export const OutagesAnswer = v.object({
  outages: v.array(
    v.object({
      startedAt: instant,
      endedAt: maybe(instant),
      startPct: value,
      endPct: value,
      lowestPct: value,
      outputWh: v.number(),
      inputWh: v.number(),
      /** The first end that was told, and when it was told; null where none was. */
      promised: maybe(v.object({ madeAt: instant, p10: instant, p50: maybe(instant) })),
      /** The floor was first shown. */
      floorAt: maybe(instant),
    }),
  ),
});
/** What is plugged in now, for Setup. */
export const SerialPortsAnswer = v.object({
  /** `path` is what the settings file takes, a stable name where the system has one; `label` is what the port says it is. */
  ports: v.array(v.object({ path: v.string(), label: v.string() })),
});
export const AdaptersAnswer = v.object({
  adapters: v.array(
    v.object({ id: v.string(), title: v.string(), transports: v.array(v.string()), gives: v.array(v.string()) }),
  ),
});
export const ProjectionAnswer = v.object({ projection: maybe(WireProjection) });
/** A change was taken. */
export const DoneAnswer = v.object({ done: v.literal(true) });
/**
 * Every refusal and failure of the HTTP API. `path` names the value of the body at fault, dotted with list
 * positions (`station.0.ratedWh`), where there is one: the page shows the words beside that field.
 */
export const ErrorAnswer = v.object({
  error: v.object({ code: v.string(), message: v.string(), fix: v.string(), path: v.optional(v.string()) }),
});

/** Three numbers from the station's screen. */
/** All three for a station without a cable; for typed parts of a station, what they give. */
export const TypedValues = v.pipe(
  v.strictObject({
    inputPowerW: v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(20_000))),
    outputPowerW: v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(20_000))),
    stateOfChargePct: v.optional(v.pipe(v.number(), v.minValue(0), v.maxValue(100))),
  }),
  v.check(values => Object.keys(values).length > 0, 'at least one number'),
);
export const InputSourceChoice = v.strictObject({
  inputSource: v.picklist(['sun', 'wall', 'vehicle', 'generator', 'unknown']),
});

export type ServerMessage = v.InferOutput<typeof ServerMessage>;
export type ClientMessage = v.InferOutput<typeof ClientMessage>;
export type WireReading = v.InferOutput<typeof WireReading>;
export type WireStatus = v.InferOutput<typeof WireStatus>;
export type WireStation = v.InferOutput<typeof WireStation>;
export type WireProjection = v.InferOutput<typeof WireProjection>;
export type WireDay = v.InferOutput<typeof WireDay>;
export type WireTally = v.InferOutput<typeof WireTally>;
export type WireHealth = v.InferOutput<typeof WireHealth>;
export type SeriesAnswer = v.InferOutput<typeof SeriesAnswer>;
export type DaysAnswer = v.InferOutput<typeof DaysAnswer>;
export type StationsAnswer = v.InferOutput<typeof StationsAnswer>;
export type OutagesAnswer = v.InferOutput<typeof OutagesAnswer>;
export type SerialPortsAnswer = v.InferOutput<typeof SerialPortsAnswer>;
export type AdaptersAnswer = v.InferOutput<typeof AdaptersAnswer>;
export type ProjectionAnswer = v.InferOutput<typeof ProjectionAnswer>;
export type ErrorAnswer = v.InferOutput<typeof ErrorAnswer>;
export type NowAnswer = v.InferOutput<typeof NowAnswer>;
export type TypedValues = v.InferOutput<typeof TypedValues>;
export type InputSourceChoice = v.InferOutput<typeof InputSourceChoice>;

/** A message before it is numbered for one client. */
export type Unnumbered<M> = M extends { n: number } ? Omit<M, 'n'> : never;
export type LiveMessage = Unnumbered<ServerMessage>;
