/** What is said of results side by side: one sentence, the figures they share, the verdicts, what the money buys. */
import { html, nothing, type TemplateResult } from 'lit';
import type { ComparisonAnswer, WireDifference, WireFigure, WireTrial } from '#messages';
import type { Formats } from '../../format.ts';
import { asText } from '../../format.ts';
import * as words from '../../words/trials-beside.ts';
import * as result from '../../words/trials-result.ts';
import { figureName } from './figures-table.ts';
import { type Ranged, told } from './rounding.ts';
import { dayOf, headFigure, type Said, type Sentence } from './sentence.ts';

/** Short, and no two alike: the station, the panel sets or the day tell them apart. */
export function namesOf(trials: readonly WireTrial[], said: Said): string[] {
  const stations = new Set(trials.map(({ station }) => station));
  const names = trials.map(trial =>
    stations.size === trials.length ? trial.stationName : `${trial.stationName}, ${dayOf(trial, said)}`,
  );
  return names.map((name, i) =>
    names.indexOf(name) === i ? name : `${name} (${names.slice(0, i).filter(n => n === name).length + 1})`,
  );
}

const isHead = (trial: WireTrial) => {
  const head = headFigure(trial);
  return (difference: WireDifference) => difference.what === head?.what && difference.atW === head.atW;
};

/** The difference that is asked for first: of the figure the kind is made for, by one meter where there was one. */
export function headDifference({ trials, differences }: ComparisonAnswer): WireDifference | null {
  return (
    differences.find(isHead(trials[0]!)) ??
    differences.find(({ verdict }) => verdict !== 'notComparable') ??
    differences[0] ??
    null
  );
}

export function besideSentence(answer: ComparisonAnswer, names: readonly string[], formats: Formats): Sentence {
  const head = headDifference(answer);
  if (head === null) return { headline: words.NOT_COMPARABLE, sure: [words.UNLIKE] };
  const because = head.because.map(why => words.BECAUSE[why]);
  if (head.verdict === 'notComparable')
    return { headline: words.NOT_COMPARABLE, sure: because.length > 0 ? because : [words.UNLIKE] };
  const figure = differenceName(head, formats);
  if (head.verdict === 'noDifference')
    return { headline: words.NO_DIFFERENCE, sure: [words.noDifferenceSure(figure), ...because] };
  const nameOf = (id: string) => names[answer.trials.findIndex(trial => trial.id === id)] ?? id;
  const { text, give } = amountOf(head, formats);
  return {
    headline: words.DIFFERS(nameOf(head.b), text, give, nameOf(head.a), head.difference > 0),
    sure: [`${figure}.`, ...because],
  };
}

/** Its size without its sign. */
function amountOf({ difference, low95, high95, unit }: WireDifference, formats: Formats) {
  const range: Ranged =
    difference >= 0 ? { value: difference, low95, high95 } : { value: -difference, low95: -high95, high95: -low95 };
  return told(range, unit, formats);
}

const differenceName = ({ what, atW }: Pick<WireFigure, 'what' | 'atW'>, formats: Formats): string =>
  atW === null ? result.FIGURES[what] : result.atLoad(result.FIGURES[what], asText(formats.power(atW)));

/** Every figure that two of them have, a column for each result. */
export function sideTable({ trials }: ComparisonAnswer, names: readonly string[], formats: Formats): TemplateResult {
  const rows = new Map<string, { name: string; cells: (WireFigure | null)[] }>();
  trials.forEach((trial, i) => {
    for (const figure of trial.judgement.result?.figures ?? []) {
      const name = figureName(figure, formats);
      const row = rows.get(name) ?? { name, cells: trials.map(() => null) };
      row.cells[i] = figure;
      rows.set(name, row);
    }
  });
  const shared = [...rows.values()].filter(({ cells }) => cells.filter(cell => cell !== null).length > 1);
  const cell = (figure: WireFigure | null) => {
    if (figure === null) return html`<td></td>`;
    const { text, give } = told(figure, figure.unit, formats);
    return html`<td class="figure"><b>${text}</b><span class="half">${give}</span></td>`;
  };
  return html`<h2 id="side">${words.SIDE_BY_SIDE}</h2><div class="across"><table class="rows" aria-labelledby="side">
    <thead><tr><td></td>${names.map(name => html`<th scope="col">${name}</th>`)}</tr></thead>
    <tbody>${shared.map(({ name, cells }) => html`<tr><th scope="row">${name}</th>${cells.map(cell)}</tr>`)}</tbody></table></div>
    <p class="ask">${result.nineteen}</p>`;
}

export function verdictTable({ trials, differences }: ComparisonAnswer, names: readonly string[], formats: Formats) {
  if (differences.length === 0) return nothing;
  const nameOf = (id: string) => names[trials.findIndex(trial => trial.id === id)] ?? id;
  const because = [...new Set(differences.flatMap(difference => difference.because))];
  return html`<h2 id="differ">${words.DIFFERENCES}</h2><table class="rows" aria-labelledby="differ"><tbody>${differences.map(
    difference => {
      const { text, give } = told({ ...difference, value: difference.difference }, difference.unit, formats, true);
      const pair = words.lessThan(nameOf(difference.b), nameOf(difference.a));
      return html`<tr><th scope="row">${differenceName(difference, formats)}<span class="half">${pair}</span></th>
      <td class="figure">${difference.verdict === 'notComparable' ? nothing : html`<b>${text}</b><span class="half">${give}</span>`}</td>
      <td class="words">${words.VERDICTS[difference.verdict]}</td></tr>`;
    },
  )}</tbody></table>
  ${because.map(why => html`<p class="ask">${words.BECAUSE[why]}</p>`)}`;
}

const WORTH = ['perDeliveredWh', 'harvestWhAYear', 'perHarvestedWhAYear', 'payBackYears'] as const;

/** Value for money, where prices are told. */
export function worthTable({ trials, worth, currency }: ComparisonAnswer, names: readonly string[], formats: Formats) {
  const rows = WORTH.filter(row => worth.some(one => one[row] !== null));
  const text = (row: (typeof WORTH)[number], range: Ranged | null) => {
    if (range === null) return html`<td></td>`;
    const unit = row === 'harvestWhAYear' ? 'Wh' : row === 'payBackYears' ? 'years' : (currency ?? '');
    const said = told(range, unit, formats);
    return html`<td class="figure"><b>${said.text}</b><span class="half">${said.give}</span></td>`;
  };
  return html`<h2 id="worth">${words.WORTH}</h2>${
    rows.length === 0
      ? html`<p><a href="/setup">${words.NO_PRICES}</a></p>`
      : html`<div class="across"><table class="rows" aria-labelledby="worth"><thead><tr><td></td>${names.map(name => html`<th scope="col">${name}</th>`)}</tr></thead>
    <tbody>${rows.map(row => html`<tr><th scope="row">${words.WORTH_ROWS[row]}</th>${trials.map(({ id }) => text(row, worth.find(one => one.trial === id)?.[row] ?? null))}</tr>`)}</tbody></table></div>`
  }`;
}
