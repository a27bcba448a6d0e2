/** How right earlier answers were, on the owner's own record. Instants ISO 8601, errors percent of the time left, shares 0-1. */
import * as v from 'valibot';

const instant = v.pipe(v.string(), v.isoTimestamp());
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const percent = v.nullable(v.number());
const share = v.nullable(v.number());

const judgement = {
  of: count,
  held: count,
  medianErrorPct: percent,
  /** By what is left over the watts of the moment. */
  plainErrorPct: percent,
};

export const WireJudged = v.object({
  madeAt: instant,
  fromAt: v.nullable(instant),
  toAt: v.nullable(instant),
  /** When 5, 10, 20 and 40 percent will be gone. */
  ranges: v.object(judgement),
  /** By how far ahead the middle lay; the last one beyond all others. */
  byHorizon: v.array(v.object({ ...judgement, upToMin: v.nullable(v.number()) })),
  /** Discharges down to the floor; null where there were none. */
  floor: v.nullable(
    v.object({
      discharges: count,
      points: count,
      coverage: share,
      medianErrorPct: percent,
      plainErrorPct: percent,
      warnings: count,
      warnedInTime: share,
    }),
  ),
  full: v.nullable(v.object({ charges: count, coverage: share, medianErrorPct: percent })),
});

export const JudgingAnswer = v.object({
  state: v.picklist(['never', 'running', 'done', 'failed']),
  /** How much of the record was gone through, 0-1. */
  share: v.number(),
  /** The newest result, also while another is being made; null before the first. */
  judged: v.nullable(WireJudged),
});

export type WireJudged = v.InferOutput<typeof WireJudged>;
export type JudgingAnswer = v.InferOutput<typeof JudgingAnswer>;
