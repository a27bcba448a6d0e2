/** What is said of a station's missing parts, under the sentence: fetched when one is missing. Pure. */
import { QUANTITIES, type QuantityName } from '#kit/quantities';
import type { WireStatus } from '#messages';
import { spanText } from '../../format.ts';
import { whyLost } from '../../words/connection.ts';
import * as words from '../../words/parts.ts';
import type { Situation } from './situation.ts';

type Part = NonNullable<WireStatus['parts']>[number];

const labelsOf = ({ gives }: Part): string =>
  gives.map(name => (Object.hasOwn(QUANTITIES, name) ? QUANTITIES[name as QuantityName].label : name)).join(', ');

function told(part: Part, sinceMs: number, s: Situation): string {
  const { name, phase, ageMs } = part;
  if (phase !== 'typed') return words.partMissing(name, whyLost(part.failure), labelsOf(part));
  if (ageMs === null) return words.partNotTyped(name, labelsOf(part));
  return words.partTypedBefore(
    name,
    spanText(ageMs + sinceMs, d => s.formats.number(d, 0)),
    labelsOf(part),
  );
}

/** One sentence for each part that says nothing now. */
export function partsTold(s: Situation): string[] {
  const live = s.live;
  const missing = live?.status?.parts?.filter(part => part.missing) ?? [];
  return missing.map(part => told(part, s.nowMs - live!.statusMs, s));
}
