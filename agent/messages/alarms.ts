/**
 * What calls the owner: the whole small list travels whenever it changes, and each alarm can be acknowledged or shelved.
 * Instants ISO 8601 in UTC, powers W, volts V, temperatures °C. GET /api/alarms → AlarmsAnswer · POST /api/alarms and
 * /api/stations/ID/alarms (AlarmChange) → DoneAnswer.
 */
import * as v from 'valibot';

const instant = v.pipe(v.string(), v.isoTimestamp());

/** At most eight, so that each still means something. */
export const ALARM_KINDS = [
  /** Half an hour or less is promised. */
  'ending',
  /** A load that cycles stopped drawing. */
  'quiet',
  /** No readings while a load was on. */
  'silent',
  /** Input volts close to the port's limit. */
  'overVolts',
  /** Charged while too cold. */
  'cold',
  /** The station reports a fault or an overload. */
  'fault',
  /** Nothing is being saved. */
  'unsaved',
  /** The clock is wrong. */
  'clock',
] as const;
export type AlarmKind = (typeof ALARM_KINDS)[number];

/** Each tells more than the ones before it. */
export const ALARM_PRIORITIES = ['low', 'medium', 'high'] as const;

export const WireAlarm = v.object({
  /** Tells one raising from another. */
  id: v.string(),
  kind: v.picklist(ALARM_KINDS),
  /** Null: the agent itself. */
  station: v.nullable(v.string()),
  /** `cleared`: it is over and nobody has acknowledged it. `normal`: only its shelf is left. */
  state: v.picklist(['active', 'acknowledged', 'cleared', 'normal']),
  priority: v.picklist(ALARM_PRIORITIES),
  /** What was raised together has one number: it is called out once. */
  call: v.pipe(v.number(), v.integer(), v.minValue(0)),
  raisedAt: instant,
  clearedAt: v.nullable(instant),
  shelvedUntilAt: v.nullable(instant),
  /** What it was raised by, as it stood then; instants as ISO text. */
  values: v.record(v.string(), v.nullable(v.union([v.number(), v.string()]))),
  cause: v.string(),
  consequence: v.string(),
  /** What to do. */
  act: v.string(),
  /** How long there is. */
  time: v.string(),
});

export const AlarmsAnswer = v.object({ alarms: v.array(WireAlarm) });

export const SHELVES = ['1h', '8h', 'tomorrow'] as const;
const id = v.pipe(v.string(), v.minLength(1), v.maxLength(40));
export const AlarmChange = v.variant('do', [
  v.strictObject({ do: v.literal('acknowledge'), id }),
  /** Set aside: still told in a count, called out anew if it stands when the time is over. */
  v.strictObject({ do: v.literal('shelve'), id, until: v.picklist(SHELVES) }),
  v.strictObject({ do: v.literal('unshelve'), id }),
]);

export type WireAlarm = v.InferOutput<typeof WireAlarm>;
export type AlarmsAnswer = v.InferOutput<typeof AlarmsAnswer>;
export type AlarmChange = v.InferOutput<typeof AlarmChange>;
