/** The day's figures and lists as they stand on the page. */
import { html, nothing, type TemplateResult } from 'lit';
import type { LedgerDayAnswer } from '#messages';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/ledger-day.ts';
import type { FigureRow } from './day-figures.ts';

export const figureTable = (caption: string, rows: readonly FigureRow[]): TemplateResult => html`<table>
  <caption class="unseen">${caption}</caption>
  <tbody>${rows.map(({ name, value, more }) => html`<tr><th scope="row">${name}${more === '' ? nothing : html` <small>${more}</small>`}</th><td>${value}</td></tr>`)}</tbody>
</table>`;

export const daylist = (title: string, lines: readonly string[]): TemplateResult | typeof nothing =>
  lines.length === 0 ? nothing : html`<h2>${title}</h2><ul>${lines.map(line => html`<li>${line}</li>`)}</ul>`;

/** Marks by their letter: what came in at that moment, where, and what was noted of it. */
export function markList({ marks }: LedgerDayAnswer, formats: Formats, times: Times): TemplateResult | typeof nothing {
  const lines = marks.map(
    ({ letter, at, spot, meanW, note }) =>
      `${letter} ${times.time(Date.parse(at))}: ${words.markTold(asText(formats.power(meanW)), spot, note)}`,
  );
  return daylist(words.MARKS, lines);
}
