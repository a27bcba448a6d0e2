/**
 * Which of the moves that the judge sees are believed to be the owner's: those seen while somebody looks, and not where
 * the judge only just began to listen. A cloud or a tracker that restarts looks like a move, and nobody carries panels
 * about without looking what they give. Instants UTC epoch ms.
 */
import type { Measure } from '#energy/estimates/aiming/asked';

/** Where the judge begins, the station's tracker may be starting too. */
const BEGINNING_MS = 30_000;
/** A phone that was in a pocket meanwhile still counts as looking, and so does what was moved just before it came out. */
const POCKET_MS = 30 * 60_000;
const BEFORE_LOOK_MS = 120_000;
/** Others ask since when panels stand with each of their readings: it is looked up every few seconds. */
const LOOKED_UP_MS = 3_000;

export interface Moves {
  /** Somebody looks. */
  looked(nowMs: number): void;
  /** When the panels were last moved, where that is believed; null otherwise. @param sinceMs when the judge began */
  believed(measure: Measure | null, sinceMs: number | null): number | null;
  /** What `ask` said within the last seconds. */
  since(atMs: number, ask: () => number | null): number | null;
}

export function createMoves(): Moves {
  let looking: { fromMs: number; toMs: number } | null = null;
  let known: { atMs: number; movedAtMs: number | null } | null = null;
  return {
    looked(nowMs) {
      const goesOn = looking !== null && nowMs - looking.toMs <= POCKET_MS;
      looking = { fromMs: goesOn ? looking!.fromMs : nowMs, toMs: nowMs };
    },
    believed(measure, sinceMs) {
      if (measure === null || sinceMs === null || looking === null) return null;
      const { movedAtMs } = measure;
      const isLooked = movedAtMs > looking.fromMs - BEFORE_LOOK_MS && movedAtMs < looking.toMs + POCKET_MS;
      return isLooked && movedAtMs > sinceMs + BEGINNING_MS ? movedAtMs : null;
    },
    since(atMs, ask) {
      if (known === null || Math.abs(atMs - known.atMs) > LOOKED_UP_MS) known = { atMs, movedAtMs: ask() };
      return known.movedAtMs;
    },
  };
}
