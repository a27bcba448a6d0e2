/** Why nothing was recorded: the span that explains most of a gap. What the owner told goes before what the agent saw. */

/** Instants epoch ms; `toMs` null: it still lasts. */
export interface SpanTold {
  reason: string;
  fromMs: number;
  toMs: number | null;
  note: string;
}

export interface Gap {
  fromMs: number;
  toMs: number;
}

/** The owner's words first, then the agent's own. Panels that were in explain no gap: the station was read all the same. */
const ORDER = ['lent', 'stored', 'travelling', 'released', 'agentDown', 'noReading'];
/** Less of a gap than this is no explanation of it. */
const LEAST_SHARE = 0.5;

const sharedMs = (gap: Gap, span: SpanTold): number =>
  Math.min(gap.toMs, span.toMs ?? Number.POSITIVE_INFINITY) - Math.max(gap.fromMs, span.fromMs);

export function reasonOf<S extends SpanTold>(gap: Gap, spans: readonly S[]): S | null {
  for (const reason of ORDER) {
    const [best] = spans
      .filter(span => span.reason === reason && sharedMs(gap, span) >= LEAST_SHARE * (gap.toMs - gap.fromMs))
      .sort((a, b) => sharedMs(gap, b) - sharedMs(gap, a));
    if (best !== undefined) return best;
  }
  return null;
}
