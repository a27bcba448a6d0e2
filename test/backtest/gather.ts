/** The scores of many recordings lived through, by every way of foretelling, all together and kind by kind. */
import { medianOf } from '#energy/estimates/scoring/median';
import { guessBy, type Way } from '#energy/estimates/scoring/outcome';
import { absShareError } from '#energy/estimates/scoring/point-error';
import { type Point, pointsIn } from '#energy/estimates/scoring/points';
import { holds } from '#energy/estimates/scoring/range-error';
import type { Told } from '#energy/estimates/scoring/replay';
import { type Score, scoreOf } from '#energy/estimates/scoring/score';
import type { Lived } from './live-through.ts';

/** Ticks after which a constant load should be told well. */
const TICKS = 8;

export const CORE = ['const', 'fridge', 'evening', 'kitchen', 'house'];

const pointsOf = (way: Way, told: readonly Told[], lived: Lived): Point[] =>
  pointsIn(
    told.map(t => guessBy(way, t)),
    lived.stretch,
  );

export interface Together extends Score {
  /** Drift between projections ten minutes apart; the other is from a quarter of an hour, scaled. */
  drift10Min: number | null;
}

/** Errors and ranges every 15 minutes; the warning from all that was said. */
export function scoreTogether(way: Way, lives: readonly Lived[]): Together {
  const score = scoreOf(lives.map(lived => pointsOf(way, lived.grid, lived)));
  const pairs = scoreOf(lives.flatMap(lived => lived.pairs.map(pair => pointsOf(way, pair, lived))));
  const { warning30 } = scoreOf(lives.map(lived => pointsOf(way, lived.all, lived)));
  return { ...score, drift10Min: pairs.driftMin, warning30 };
}

/** Standard error of the coverage over recordings, each weighing as much as it has points. */
export function coverageError(lives: readonly Lived[]): number | null {
  const perCase = lives.flatMap(lived => {
    const held = pointsOf('projection', lived.grid, lived).flatMap(p =>
      p.range === null ? [] : Number(holds(p.range, p.trueMin)),
    );
    return held.length === 0 ? [] : { held: held.reduce((a, b) => a + b, 0), n: held.length };
  });
  const n = perCase.reduce((sum, c) => sum + c.n, 0);
  const m = perCase.length;
  if (m < 2) return null;
  const mean = perCase.reduce((sum, c) => sum + c.held, 0) / n;
  // Ratio estimator (W. Cochran, Sampling Techniques, 3rd ed. 1977, eq. 6.13).
  const squares = perCase.reduce((sum, c) => sum + (c.held - mean * c.n) ** 2, 0);
  return Math.sqrt((squares * m) / (m - 1)) / n;
}

/** Median error in percent where the gauge had seen eight ticks. */
export const afterTicks = (lives: readonly Lived[]): number | null =>
  medianOf(
    lives.flatMap(lived =>
      lived.grid
        .filter(told => told.ticks >= TICKS && told.empty !== null)
        .map(told => 100 * absShareError(told.empty!.p50, (lived.stretch.endAt - told.at) / 60_000)),
    ),
  );

/** What each range and its truth were, for those who learn from outcomes. */
export const outcomesOf = (lives: readonly Lived[]) =>
  lives.flatMap(lived =>
    pointsOf('projection', lived.grid, lived).flatMap(p =>
      p.range === null || !Number.isFinite(p.range.p90) ? [] : { range: p.range, trueMin: p.trueMin },
    ),
  );
