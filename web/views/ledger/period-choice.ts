/** The row under the sentence: which stretch of days is shown, and the ways to the one before, after, or a year ago. */
import { html, nothing } from 'lit';
import { PERIODS, type Period, type PeriodKind, stepped } from '#energy/ledger/periods';
import type { Times } from '../../format.ts';
import * as words from '../../words/ledger.ts';

export interface PeriodChosen {
  kind(kind: PeriodKind): void;
  period(period: Period): void;
}

export function periodChoice(period: Period, today: string, times: Times, chosen: PeriodChosen) {
  const step = (way: 'earlier' | 'later' | 'yearEarlier', name: string, disabled = false) =>
    html`<button type="button" ?disabled=${disabled} @click=${() => chosen.period(stepped(period, way))}>${name}</button>`;
  return html`<div class="periods" role="group" aria-label=${words.PERIOD}>
    <div class="kinds">${PERIODS.map(kind => html`<button type="button" aria-pressed=${kind === period.kind ? 'true' : 'false'} @click=${() => chosen.kind(kind)}><span>${words.PERIOD_NAMES[kind]}</span></button>`)}</div>
    <p class="title">${titleOf(period, times)}</p>
    ${
      period.kind === 'all'
        ? nothing
        : html`<div class="steps">${step('earlier', words.EARLIER)}${step('later', words.LATER, period.to >= today)}
            ${period.kind === 'year' ? nothing : step('yearEarlier', words.YEAR_EARLIER)}</div>`
    }</div>`;
}

/** `July 2026`, `April to September 2026`, `October 2025 to March 2026`, `2026`. */
export function titleOf({ kind, from, to }: Period, times: Times): string {
  if (kind === 'all') return words.EVERYTHING;
  if (kind === 'year') return from.slice(0, 4);
  if (kind === 'month') return times.month(from);
  const begins = from.slice(0, 4) === to.slice(0, 4) ? times.month(from).replace(/ \d+$/, '') : times.month(from);
  return words.monthsTo(begins, times.month(to));
}
