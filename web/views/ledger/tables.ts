/** The Ledger in numbers: months, and every day. Newest first, since that is what is looked for. */
import { html } from 'lit';
import { asText, type Formats, MISSING, type Times } from '../../format.ts';
import * as words from '../../words/ledger.ts';
import type { LedgerDay, LedgerFigures } from './figures.ts';

const table = (caption: string, columns: readonly string[], rows: readonly (readonly string[])[]) => html`<table>
  <caption class="unseen">${caption}</caption>
  <thead><tr>${columns.map(column => html`<th scope="col">${column}</th>`)}</tr></thead>
  <tbody>${rows.map(([name, ...cells]) => html`<tr><th scope="row">${name}</th>${cells.map(cell => html`<td>${cell}</td>`)}</tr>`)}</tbody>
</table>`;

export function monthTable({ months }: LedgerFigures, formats: Formats, times: Times) {
  const rows = months
    .toReversed()
    .map(m => [
      times.month(`${m.month}-01`),
      asText(formats.energy(m.solarWh)),
      asText(formats.energy(m.outputWh)),
      words.daysOf(formats.number(m.wholeDays, 0), formats.number(m.days, 0)),
      asText(formats.percent(Math.floor(m.coveragePct))),
    ]);
  return table(words.MONTHS, words.MONTH_COLUMNS, rows);
}

export function dayTable({ days }: LedgerFigures, formats: Formats, times: Times) {
  const today = days.at(-1)!.date;
  return table(
    words.DAYS,
    words.DAY_COLUMNS,
    days.toReversed().map(day => dayRow(day, today, formats, times)),
  );
}

export function dayRow({ date, kind, day }: LedgerDay, today: string, formats: Formats, times: Times): string[] {
  const name = kind === 'today' ? words.today : times.dayMonth(date, today);
  if (day === null) return [name, MISSING, MISSING, MISSING, asText(formats.percent(0)), MISSING];
  const energy = (wh: number) => asText(formats.energy(wh));
  const { stateOfChargeMinPct: low, stateOfChargeMaxPct: high } = day;
  const level =
    low === null || high === null
      ? MISSING
      : words.levelRange(asText(formats.percent(low)), asText(formats.percent(high)));
  return [
    name,
    energy(day.solarWh),
    energy(day.inputWh),
    energy(day.outputWh),
    asText(formats.percent(Math.floor(day.coveragePct))),
    level,
  ];
}
