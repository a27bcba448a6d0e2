/**
 * A trial as it is told on the page: figures that rest on the station's own watts with how far these may be off in their
 * range, so that sentence, table and budget say the same.
 */
import { PRESUMED } from '#energy/estimates/trials/kinds';
import { asTrue } from '#energy/estimates/trials/true-value';
import type { WireTrial } from '#messages';

export function trueTrial(trial: WireTrial): WireTrial {
  const { judgement, options, station } = trial;
  if (judgement.result === null) return trial;
  const of = { station, ownWattsLimitPct: options.ownWattsLimitPct ?? PRESUMED.ownWattsLimitPct };
  const figures = judgement.result.figures.map(figure => {
    const told = asTrue(figure, of);
    return { ...told, budget: [...told.budget] };
  });
  return { ...trial, judgement: { ...judgement, result: { ...judgement.result, figures } } };
}
