/**
 * One day of the Ledger, and what the owner tells of days: notes, spans with their reason, and from when a fact was true.
 * Instants ISO 8601 UTC, dates civil in the station's zone. null always means not known, never zero.
 */
import * as v from 'valibot';
import { LedgerSpan } from './ledger.ts';
import { OutagesAnswer, WireDay } from './wire.ts';

const instant = v.string();
const maybe = <S extends v.GenericSchema>(schema: S) => v.nullable(schema);
const isDate = (text: string): boolean => {
  const at = Date.parse(`${text}T00:00:00Z`);
  return !Number.isNaN(at) && new Date(at).toISOString().slice(0, 10) === text;
};
const date = v.pipe(v.string(), v.regex(/^\d{4}-\d{2}-\d{2}$/, 'a date such as 2026-07-03'), v.check(isDate, 'a date'));
/** With an offset: a bare time would mean something else on every machine. */
const toldInstant = v.pipe(
  v.string(),
  v.regex(/^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{1,3})?)?(Z|[+-]\d{2}:\d{2})$/, 'an instant with its offset'),
  v.check(text => !Number.isNaN(Date.parse(text)), 'an instant'),
);
/** Words over several lines; other control characters are no words. */
const note = (least: number) =>
  v.pipe(
    v.string(),
    v.trim(),
    v.minLength(least, 'a few words'),
    v.maxLength(400),
    v.regex(/^(?:[^\p{Cc}]|[\n\r\t])*$/u, 'words without control characters'),
  );
const count = v.pipe(v.number(), v.integer(), v.minValue(0));

export const WireNote = v.object({
  id: count,
  date: v.string(),
  /** The moment it is about; null: the whole day. */
  at: maybe(instant),
  text: v.string(),
  writtenAt: instant,
});

/** Beside what the Ledger is told of that day. */
export const LedgerDayAnswer = v.object({
  station: v.string(),
  zone: v.string(),
  date: v.string(),
  today: v.string(),
  startAt: instant,
  /** First instant of the next day: 23 or 25 hours later where the clocks change. */
  endAt: instant,
  /** null: nothing of it is recorded. */
  day: maybe(WireDay),
  /** Nearest dates before and after that hold anything. */
  previous: maybe(v.string()),
  next: maybe(v.string()),
  /** What the panels would give under a cloudless sky, one value a step from `startAt` on; null where not known. */
  clearSky: maybe(v.object({ stepMs: v.number(), powerW: v.array(v.number()) })),
  /** At the place of that day; null without one. Sunset and sunrise null where the night reaches beyond the day. */
  nights: maybe(
    v.array(v.object({ fromAt: instant, toAt: instant, sunsetAt: maybe(instant), sunriseAt: maybe(instant) })),
  ),
  outages: OutagesAnswer.entries.outages,
  /** Those that touch the day. */
  spans: v.array(LedgerSpan),
  /** Told by the owner and still lasting, whatever the day. */
  lasting: v.array(LedgerSpan),
  marks: v.array(
    v.object({ letter: v.string(), at: instant, spot: maybe(v.string()), meanW: v.number(), note: v.string() }),
  ),
  notes: v.array(WireNote),
});

/** Spans that touch a stretch of time. */
export const SpansAnswer = v.object({ station: v.string(), spans: v.array(LedgerSpan) });

/** A note is written, put in other words, or removed with its words. Without `at` it is about the whole day. */
export const NoteChange = v.variant('do', [
  v.strictObject({ do: v.literal('write'), date, at: v.optional(toldInstant), text: note(1) }),
  v.strictObject({ do: v.literal('change'), note: count, at: v.optional(maybe(toldInstant)), text: note(1) }),
  v.strictObject({ do: v.literal('remove'), note: count }),
]);

/** Reasons the owner tells; the others come from the agent. */
export const TOLD_REASONS = ['lent', 'stored', 'travelling', 'panelsIn'] as const;
const reason = v.picklist(TOLD_REASONS);
/** Which span: its reason and the instant it began. */
const of = v.strictObject({ reason, fromAt: toldInstant });

/** `begin` and `end` mean now, by the agent's clock. `toAt` null: it still lasts. */
export const SpanChange = v.variant('do', [
  v.strictObject({ do: v.literal('begin'), reason, note: v.optional(note(0), '') }),
  v.strictObject({ do: v.literal('end'), of }),
  v.strictObject({
    do: v.literal('add'),
    reason,
    fromAt: toldInstant,
    toAt: maybe(toldInstant),
    note: v.optional(note(0), ''),
  }),
  v.strictObject({
    do: v.literal('change'),
    of,
    reason,
    fromAt: toldInstant,
    toAt: maybe(toldInstant),
    note: note(0),
  }),
  v.strictObject({ do: v.literal('remove'), of }),
]);

/** Facts whose beginning the owner can put right; others are what was recorded then. */
export const MOVABLE_FACTS = [
  'panel',
  'place',
  'solarPort',
  'tariff',
  'paid',
  'ratedWh',
  'chargeCeilingPct',
  'idleW',
] as const;

export const DatedFact = v.object({
  key: v.string(),
  validFromAt: instant,
  /** JSON of the value; null: the owner took it away. */
  valueJson: maybe(v.string()),
  /** Whether its beginning can be put right. */
  movable: v.boolean(),
});
export const FactsAnswer = v.object({ station: v.string(), zone: v.string(), facts: v.array(DatedFact) });

export const FactChange = v.strictObject({
  key: v.picklist(MOVABLE_FACTS),
  /** The instant it holds from so far. */
  validFromAt: toldInstant,
  /** The day it became true on, from its beginning. */
  date,
  /** Tells what it would change, and changes nothing. */
  dryRun: v.optional(v.boolean(), false),
});
/** What moving a fact changes: on these days one value is taken in place of the other. */
export const FactChanged = v.object({
  done: v.boolean(),
  fromDate: v.string(),
  /** The last one. */
  toDate: v.string(),
  /** How many of them hold anything. */
  days: count,
  /** Values on those days so far and then; JSON, null where there was none. */
  wasJson: maybe(v.string()),
  becomesJson: maybe(v.string()),
});

export type SpansAnswer = v.InferOutput<typeof SpansAnswer>;
export type WireNote = v.InferOutput<typeof WireNote>;
export type LedgerDayAnswer = v.InferOutput<typeof LedgerDayAnswer>;
export type NoteChange = v.InferOutput<typeof NoteChange>;
export type SpanChange = v.InferOutput<typeof SpanChange>;
export type ToldReason = (typeof TOLD_REASONS)[number];
export type DatedFact = v.InferOutput<typeof DatedFact>;
export type FactsAnswer = v.InferOutput<typeof FactsAnswer>;
export type FactChange = v.InferOutput<typeof FactChange>;
export type FactChanged = v.InferOutput<typeof FactChanged>;
