/** Where the range of each figure comes from: its terms with shape, standard uncertainty and share of the variance. */
import { budgetTogether } from '#energy/estimates/trials/figure';
import type { WireFigure, WireTrial } from '#messages';
import { text } from './escape.ts';
import { figureName, trueFigure } from './lead.ts';
import { shownUnit, unit } from './numbers.ts';
import * as words from './words.ts';

/** Beyond it a range is that of a normal distribution. */
const MUCH_FREEDOM = 200;
/** Of the variance: smaller ones are told together. */
const LEAST_SHARE = 0.005;
/** Less is what is left of numbers that cancelled. */
const NOTHING_SHARE = 1e-9;

export const budgets = (trial: WireTrial): string =>
  (trial.judgement.result?.figures ?? [])
    .map(figure => trueFigure(trial, figure))
    .filter(({ budget }) => budget.length > 0)
    .map(
      f => `<div class="table budget"><table><caption>${text(caption(f))}</caption><thead><tr><th>Comes from</th><th>Kind</th>
        <th>Shape</th><th class="n">Standard uncertainty</th><th class="n">Share</th></tr></thead>
        <tbody>${rows(f)}</tbody></table></div>`,
    )
    .join('');

function caption(f: WireFigure): string {
  const freedom = f.effectiveFreedom;
  const { by, unit: shown } = shownUnit(f.unit);
  return [
    `${figureName(f)}: standard uncertainty ${(f.standardUncertainty * by).toPrecision(2)} ${shown}`,
    `coverage factor ${f.coverageFactor.toFixed(2)}`,
    ...(freedom === null || freedom > MUCH_FREEDOM ? [] : [`effective degrees of freedom ${Math.round(freedom)}`]),
  ].join(', ');
}

function rows({ budget: lines, unit: of }: WireFigure): string {
  const budget = budgetTogether(lines);
  const { by, unit: shown } = shownUnit(of);
  const row = (cells: readonly string[], u: number, share: string) =>
    `<tr>${cells.map(cell => `<td>${cell}</td>`).join('')}<td class="n">${(u * by).toPrecision(2)}${unit(shown)}</td>
      <td class="n">${share}</td></tr>`;
  const rest = budget.filter(({ share }) => share < LEAST_SHARE && share > NOTHING_SHARE);
  const small = Math.hypot(...rest.map(line => line.standardUncertainty));
  return [
    ...budget
      .filter(({ share }) => share >= LEAST_SHARE)
      .map(line =>
        row(
          [words.SOURCE_NAMES[line.source], line.kind, words.SHAPES[line.shape]],
          line.standardUncertainty,
          `${Math.round(100 * line.share)}${unit('%')}`,
        ),
      ),
    ...(rest.length === 0 ? [] : [row([words.smaller(rest.length), '', ''], small, '')]),
  ].join('');
}
