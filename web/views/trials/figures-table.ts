/** Figures of a trial as a table, each with its range, and under Why? the budget the range is made of. */
import { html, nothing, type TemplateResult } from 'lit';
import { budgetTogether } from '#energy/estimates/trials/figure';
import type { WireFigure, WireTrial } from '#messages';
import { asText, type Formats, GAP } from '../../format.ts';
import * as words from '../../words/trials-result.ts';
import { shownUnit, told } from './rounding.ts';

const SIGNED: readonly WireFigure['what'][] = ['gainErrorPct'];
/** Of the variance: less is told together. */
const LEAST_SHARE = 0.005;

export const figureName = ({ what, atW }: WireFigure, formats: Formats): string =>
  atW === null ? words.FIGURES[what] : words.atLoad(words.FIGURES[what], asText(formats.power(atW)));

/** Of two panel sets by their names. */
function nameIn({ options }: WireTrial, figure: WireFigure, formats: Formats): string {
  if (options.kind === 'twoSets' && (figure.what === 'bOfAPct' || figure.what === 'bOfAPerRatedPct'))
    return words.SETS[figure.what](options.a.name, options.b.name);
  return figureName(figure, formats);
}

export function figuresTable(trial: WireTrial, formats: Formats): TemplateResult | typeof nothing {
  const { result } = trial.judgement;
  if (result === null || result.figures.length === 0) return nothing;
  return html`<table class="rows single" aria-labelledby="figures"><tbody>${result.figures.map(figure => {
    const { text, give } = told(figure, figure.unit, formats, SIGNED.includes(figure.what));
    return html`<tr><th scope="row">${nameIn(trial, figure, formats)}</th><td class="figure"><b>${text}</b><span class="half">${give}</span></td></tr>`;
  })}</tbody></table>`;
}

/** Each figure's chain: what it rests on, and the terms of its range, widest first. */
export function budgets(trial: WireTrial, formats: Formats): TemplateResult | typeof nothing {
  const { result } = trial.judgement;
  if (result === null || result.figures.length === 0) return nothing;
  return html`<details class="why"><summary>${words.WHY}</summary><p class="ask">${words.nineteen}</p>${result.figures
    .filter(({ budget }) => budget.length > 0)
    .map(figure => budget(figure, nameIn(trial, figure, formats), formats))}</details>`;
}

function budget(figure: WireFigure, name: string, formats: Formats) {
  const { by, unit } = shownUnit(figure.unit, figure.value);
  const small = (value: number) => digits(value * by, unit, formats);
  const told = budgetTogether(figure.budget).filter(({ share }) => share >= LEAST_SHARE);
  return html`<h2>${words.whyOf(name)}</h2><p class="ask">${words.RESTS_ON(words.AGAINST[figure.against])}</p>
    <div class="across"><table class="rows budget"><thead><tr>${words.BUDGET_COLUMNS.map(column => html`<th scope="col">${column}</th>`)}</tr></thead>
    <tbody>${told.map(line => row(line, small, formats))}
      <tr><th scope="row">${words.COMBINED}</th><td>${small(figure.standardUncertainty)}</td><td></td></tr></tbody></table></div>
    <p class="ask">${words.coverage(formats.number(figure.coverageFactor, 2))}</p>`;
}

function row(
  { source, kind, shape, standardUncertainty, share }: ReturnType<typeof budgetTogether>[number],
  small: (x: number) => string,
  formats: Formats,
) {
  return html`<tr><th scope="row">${words.SOURCES[source]}<span class="half">${words.typeOf(kind, words.SHAPES[shape])}</span></th><td>${small(standardUncertainty)}</td><td>${asText(formats.percent(100 * share))}</td></tr>`;
}

/** Two digits that mean something. */
function digits(value: number, unit: string, formats: Formats): string {
  const place = value > 0 ? Math.min(0, Math.floor(Math.log10(value)) - 1) : 0;
  return `${formats.number(value, Math.min(6, -place))}${GAP}${unit}`;
}
