/**
 * Which part of time each recorded day is: where the owner changed the zone, every instant belongs to one day only, that
 * of the zone in force. Dates that hold no reading are listed apart. Instants UTC epoch ms.
 */
import { shiftDate } from '#energy/civil-day';
import type { DayTotals, Fact } from '#messages';

export interface DayPart {
  readonly totals: DayTotals;
  readonly startMs: number;
  readonly endMs: number;
}

interface Stretch {
  fromMs: number;
  toMs: number;
}

/** @param facts of the station: those of its zone say when which was in force */
export function partsOf(days: readonly DayTotals[], facts: readonly Fact[]): DayPart[] {
  const parts = days.map(totals => ({ totals, startMs: totals.startMs, endMs: totals.endMs }));
  const inOrder = () => parts.sort((a, b) => a.startMs - b.startMs || a.endMs - b.endMs);
  for (const [i, part] of inOrder().entries()) {
    const overlaps = parts.some((other, k) => k !== i && other.startMs < part.endMs && part.startMs < other.endMs);
    if (!overlaps) continue;
    const inForce = stretchesOf(facts, part.totals.zone).filter(s => s.fromMs < part.endMs && s.toMs > part.startMs);
    if (inForce.length === 0) continue;
    part.startMs = Math.max(part.startMs, inForce[0]!.fromMs);
    part.endMs = Math.min(part.endMs, inForce.at(-1)!.toMs);
  }
  // What no fact settles: the later one goes on where the earlier one ends.
  for (const [i, part] of inOrder().entries())
    if (i > 0 && parts[i - 1]!.endMs > part.startMs) part.startMs = Math.min(part.endMs, parts[i - 1]!.endMs);
  return parts;
}

/** When a zone was in force; one that no fact names was the computer's own, as long as none was named. */
function stretchesOf(facts: readonly Fact[], zone: string): Stretch[] {
  const said = facts.filter(fact => fact.key === 'zone').sort((a, b) => a.validFromMs - b.validFromMs);
  const stretches = said.map(({ valueJson, validFromMs }, i) => ({
    zone: valueJson === null ? null : (JSON.parse(valueJson) as string),
    // The first word holds for the time before it too.
    fromMs: i === 0 ? Number.NEGATIVE_INFINITY : validFromMs,
    toMs: said[i + 1]?.validFromMs ?? Number.POSITIVE_INFINITY,
  }));
  const named = stretches.filter(stretch => stretch.zone === zone);
  return named.length > 0 ? named : stretches.filter(stretch => stretch.zone === null);
}

/** Dates of [from, to] that are none of these. */
export function missingDates(days: readonly { date: string }[], fromDate: string, toDate: string): string[] {
  const known = new Set(days.map(({ date }) => date));
  const missing: string[] = [];
  for (let date = fromDate; date <= toDate; date = shiftDate(date, 1)) if (!known.has(date)) missing.push(date);
  return missing;
}
