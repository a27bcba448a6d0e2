/**
 * The one thing to say of here and a mark. `better` and `worse` stand only where the range excludes nought after all
 * that can be wrong, under a steady sky (or beside a reference), and with nothing holding the station back; all else
 * asks for what is missing: hold still, wait for the clouds, go back, let the panels warm.
 */
import type { Limit, Measure, Verdict, VerdictKind } from './asked.ts';
import type { Compared } from './spots-held.ts';
import { CLOUDS_STAY_MS } from './weather-seen.ts';

/** A difference within this of the power is none that is worth a walk. */
const ALIKE_SHARE = 0.02;
const ALIKE_W = 1.5;
/** Least time on the plateau, and least still time under this sky, both spots together. */
const STAND_MS = 11_000;
const STAND_INTERVALS = 3;
const SKY_MS = 60_000;
const SKY_INTERVALS = 1;
/** A great change is a cloud sooner than a better spot: to be stood longer for, up to this much. */
const GREAT_MS = 38_000;
const GREAT_FROM = 0.12;
const GREAT_MS_FOR_ALL = 120_000;
/** Standing still longer than this teaches little more. */
export const HOLD_MS = 60_000;
const WARMING_HOLD_MS = 240_000;

export interface Circumstances {
  readonly nowMs: number;
  /** Letter of the mark stood at. */
  readonly here: string | null;
  /** What was measured here; null while the tracker has not settled. */
  readonly measure: Measure | null;
  readonly limitedBy: Limit | null;
  readonly dark: boolean;
  /** The other mark; null where there is none that could be held against. */
  readonly than: { readonly letter: string; readonly compared: Compared | null; readonly fit: boolean } | null;
  readonly unsteadyAtMs: number | null;
  /** Clouds were seen since shortly before the other was measured. */
  readonly unsteadyBetween: boolean;
  /** Time without a move in the last minutes that the sky was seen for. */
  readonly stillMs: number;
  /** Between readings. */
  readonly everyMs: number;
}

const SILENT = { than: null, differenceW: null, giveOrTakeW: null, sunExplainsW: null, holdMs: null, limitedBy: null };

/** How long to stand: longer the more here and there differ, and where readings are few. */
function standMs(hereW: number, compared: Compared | null, everyMs: number): number {
  const thereW = hereW - (compared?.differenceW ?? 0);
  const times = Math.abs(Math.log(Math.max(1, hereW) / Math.max(1, thereW)));
  const great = Math.min(GREAT_MS, GREAT_MS_FOR_ALL * Math.max(0, times - GREAT_FROM));
  return Math.max(STAND_MS + great, STAND_INTERVALS * everyMs + great / 3);
}

export function verdictOf(c: Circumstances): Verdict {
  const say = (kind: VerdictKind, more: Partial<Verdict> = {}): Verdict => ({ ...SILENT, kind, here: c.here, ...more });
  if (c.dark) return say('dark');
  const limitedBy = c.limitedBy ?? c.measure?.limitedBy ?? null;
  if (limitedBy !== null) return say('limited', { limitedBy });
  if (c.measure === null) return say('settling', { than: c.than?.letter ?? null });
  const cloudsMs = c.unsteadyAtMs === null ? 0 : c.unsteadyAtMs + CLOUDS_STAY_MS - c.nowMs;
  const byReference = c.than?.compared?.way === 'reference';
  if (cloudsMs > 0 && !byReference) return say('clouds', { than: c.than?.letter ?? null, holdMs: cloudsMs });
  if (c.than === null) return say('none');
  const { letter: than, compared, fit } = c.than;
  const stoodMs = c.measure.toMs - c.measure.movedAtMs;
  const settledMs = c.measure.toMs - c.measure.settledAtMs;
  const missingMs = Math.max(
    SKY_MS + SKY_INTERVALS * c.everyMs - c.stillMs,
    standMs(c.measure.meanW, compared, c.everyMs) - settledMs,
  );
  if (c.measure.why === 'short' || missingMs > 0) return say('holding', { than, holdMs: Math.max(1_000, missingMs) });
  if (compared === null || !fit) return say('goBack', { than });
  if (c.unsteadyBetween && !byReference) return say('goBack', { than });
  return weigh(c, than, compared, stoodMs, say);
}

function weigh(
  c: Circumstances,
  than: string,
  d: Compared,
  stoodMs: number,
  say: (kind: VerdictKind, more: Partial<Verdict>) => Verdict,
): Verdict {
  const { differenceW, giveOrTakeW, sunExplainsW } = d;
  const figures = { than, differenceW, giveOrTakeW, sunExplainsW };
  if (Math.abs(differenceW) > giveOrTakeW) return say(differenceW > 0 ? 'better' : 'worse', figures);
  const alikeW = Math.max(ALIKE_W, ALIKE_SHARE * (c.measure?.meanW ?? 0));
  if (Math.abs(differenceW) + giveOrTakeW <= alikeW) return say('same', figures);
  const { scatterW, skyW, sunW, warmthW } = d.by;
  if (warmthW > Math.max(scatterW, skyW, sunW)) return say('warming', { ...figures, holdMs: WARMING_HOLD_MS });
  if (stoodMs < HOLD_MS) return say('holding', { ...figures, holdMs: HOLD_MS - stoodMs });
  if (giveOrTakeW <= 2 * alikeW) return say('same', figures);
  return say('goBack', figures);
}
