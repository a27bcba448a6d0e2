/**
 * What changed and what explains gaps, in words: dated settings, and stretches with their reasons. Settings whose change
 * means nothing to a reader of the Ledger are left out, as is the first value of each, which began with the record.
 */
import type { LedgerAnswer } from '#messages';
import { asText, type Formats } from '../../format.ts';
import * as words from '../../words/ledger.ts';
import { lentTold, reasonText } from '../../words/spans.ts';
import { money } from './money.ts';

export interface Change {
  atMs: number;
  text: string;
}

export function changesOf(facts: LedgerAnswer['facts'], formats: Formats): Change[] {
  const seen = new Map<string, string | null>();
  const changes: Change[] = [];
  for (const { key, validFromAt, valueJson } of facts.toSorted((a, b) => a.validFromAt.localeCompare(b.validFromAt))) {
    const isNew = seen.has(key) && seen.get(key) !== valueJson;
    const text = isNew ? wordsOf(key, parsed(valueJson), formats) : null;
    seen.set(key, valueJson);
    if (text !== null) changes.push({ atMs: Date.parse(validFromAt), text });
  }
  return changes;
}

/** What another version wrote may have another shape: then only that it changed is said. */
function parsed(json: string | null): unknown {
  try {
    return json === null ? null : JSON.parse(json);
  } catch (cause) {
    if (!(cause instanceof SyntaxError)) throw cause;
    return null;
  }
}

const field = (value: unknown, name: string): unknown =>
  typeof value === 'object' && value !== null ? (value as Record<string, unknown>)[name] : undefined;

function wordsOf(key: string, value: unknown, formats: Formats): string | null {
  if (key === 'panel') {
    if (!Array.isArray(value)) return words.PANELS_CHANGED;
    const ratedW = value.reduce(
      (sum: number, panel) => sum + Number(field(panel, 'ratedW')) * Number(field(panel, 'count') ?? 1),
      0,
    );
    return Number.isFinite(ratedW) ? words.panelsChanged(asText(formats.power(ratedW))) : words.PANELS_CHANGED;
  }
  if (key === 'tariff') {
    const [perKWh, currency] = [field(value, 'perKWh'), field(value, 'currency')];
    if (typeof perKWh === 'number' && typeof currency === 'string' && field(value, 'hours') === undefined)
      return words.tariffNow(money(perKWh, currency, formats));
  }
  if (key === 'firmware' && typeof value === 'string') return words.firmware(value);
  return words.FACTS[key] ?? null;
}

export interface Stretch {
  fromAt: number;
  toAt: number | null;
  text: string;
  /** The owner said so: nothing could be gathered. Else the agent only saw that nothing came. */
  own: boolean;
}

/** In these the panels give nothing for a reason of the owner's. */
const OWN_REASONS = ['lent', 'stored', 'travelling', 'panelsIn'];
const isOwn = ({ reason }: { reason: string }): boolean => OWN_REASONS.includes(reason);

export const spansOf = (spans: LedgerAnswer['spans'], formats: Formats): Stretch[] =>
  spans.map(span => ({
    fromAt: Date.parse(span.fromAt),
    toAt: span.toAt === null ? null : Date.parse(span.toAt),
    text: spanWords(span, formats),
    own: isOwn(span),
  }));

function spanWords({ reason, note, beforePct, afterPct }: LedgerAnswer['spans'][number], formats: Formats): string {
  const percent = (value: number | null) => (value === null ? null : asText(formats.percent(value)));
  const levels = lentTold(percent(beforePct), percent(afterPct));
  return reason === 'lent' && levels !== '' ? words.told(reasonText(reason, note), levels) : reasonText(reason, note);
}
