/** All that stands under the axis as a list in words: on a narrow screen not all of it finds room there. */
import { html, nothing } from 'lit';
import * as words from '../../words/ledger.ts';
import type { Account } from './account.ts';
import { changesOf, spansOf } from './happened.ts';

/** Silences of a few hours are many, and each day's page tells them. */
const LONG_MS = 6 * 3_600_000;

export function happenedList({ answer, figures, formats, times }: Account) {
  const [first, last] = [figures.days[0]!.date, figures.days.at(-1)!.date];
  const date = (at: number) => times.dayMonth(times.date(at), last);
  const within = (from: number, to: number) => times.date(to) >= first && times.date(from) <= last;
  const lines = [
    ...changesOf(answer.facts, formats)
      .filter(({ atMs }) => within(atMs, atMs))
      .map(({ atMs, text }) => ({ at: atMs, line: words.on(date(atMs), text) })),
    ...spansOf(answer.spans, formats)
      .filter(({ own, fromAt, toAt }) => own || (toAt ?? Number.POSITIVE_INFINITY) - fromAt >= LONG_MS)
      .filter(({ fromAt, toAt }) => within(fromAt, toAt ?? fromAt))
      .map(({ fromAt, toAt, text }) => ({
        at: fromAt,
        line: words.on(toAt === null ? words.sinceDate(date(fromAt)) : words.monthsTo(date(fromAt), date(toAt)), text),
      })),
  ];
  if (lines.length === 0) return nothing;
  return html`<details><summary>${words.WHAT_CHANGED}</summary><ul>${lines
    .toSorted((a, b) => a.at - b.at)
    .map(({ line }) => html`<li>${line}</li>`)}</ul></details>`;
}
