/** Lengths of the marks' bars and of the ranges on them, % of the track; the longest range ends a little before its end. Pure. */
import type { WireMark } from '#messages';

export interface Bar {
  barPct: number;
  lowPct: number;
  highPct: number;
}

const FULL_PCT = 98;

/** One for each mark, null where it is not ranked. */
export function barsOf(marks: readonly Pick<WireMark, 'now' | 'why'>[]): (Bar | null)[] {
  const ranked = marks.flatMap(({ now, why }) => (now === null || why !== 'ok' ? [] : [now.meanW + now.giveOrTakeW]));
  const top = Math.max(1, ...ranked);
  const pct = (watts: number) => (Math.max(0, watts) / top) * FULL_PCT;
  return marks.map(({ now, why }) =>
    now === null || why !== 'ok'
      ? null
      : { barPct: pct(now.meanW), lowPct: pct(now.meanW - now.giveOrTakeW), highPct: pct(now.meanW + now.giveOrTakeW) },
  );
}
