/**
 * The converter from battery to AC outlets: an idle draw, a proportional and a quadratic loss,
 * P_dc = p0 + p1·P_ac + p2·P_ac² (the shape of D. King et al., SAND2007-5036, with voltage terms left out).
 * With p0 of 10-20 W a small load costs more than twice itself; near full load 85-88 % of the label reaches the
 * outlets (common practice, no source).
 */

export interface ConverterFacts {
  /** Drawn with the AC outlets on and nothing plugged in, W. */
  readonly idleW: number;
  readonly p1: number;
  /** 1/W. */
  readonly p2: number;
  readonly maxW: number;
  /** For a moment, W: what starts a motor. */
  readonly surgeW: number;
}

/** Longest step that still is a moment, s. */
const SURGE_S = 2;

/** What reaches the outlets of `wantedW` over a step, W. */
export const converterGivesW = (facts: ConverterFacts, wantedW: number, dtS: number): number =>
  Math.min(wantedW, dtS <= SURGE_S ? facts.surgeW : facts.maxW);

/** What the battery side gives for `acW` at the outlets, W. */
export const converterDrawW = (facts: ConverterFacts, acW: number): number =>
  facts.idleW + facts.p1 * acW + facts.p2 * acW * acW;
