/** The Ledger in numbers: months with their yields, and every day. Newest first, since that is what is looked for. */
import { html, nothing, type TemplateResult } from 'lit';
import { asText, type Formats, MISSING, type Times } from '../../format.ts';
import * as words from '../../words/ledger.ts';
import { dayAddress } from './addresses.ts';
import type { LedgerFigures, ListedDay, Sums } from './figures.ts';

type Cell = string | TemplateResult;
const row = ([name, ...cells]: readonly Cell[]) =>
  html`<tr><th scope="row">${name}</th>${cells.map(cell => html`<td>${cell}</td>`)}</tr>`;
const head = (columns: readonly string[]) =>
  html`<thead><tr>${columns.map(column => html`<th scope="col">${column}</th>`)}</tr></thead>`;

export function sumTable({ months, all }: LedgerFigures, formats: Formats, times: Times) {
  return html`<table class="sums"><caption class="unseen">${words.SUMS}</caption>${head(words.SUM_COLUMNS)}
    <tbody>${months.toReversed().map(m => row(sumRow(times.month(`${m.month}-01`), m, formats)))}</tbody>
    ${months.length < 2 ? nothing : html`<tfoot>${row(sumRow(words.TOGETHER, all, formats))}</tfoot>`}</table>`;
}

export function sumRow(name: string, sums: Sums, formats: Formats): string[] {
  const yieldText = (hours: number | null) => (hours === null ? MISSING : formats.number(hours, 1));
  return [
    name,
    asText(formats.energy(sums.solarWh)),
    asText(formats.percent(Math.floor(sums.coveragePct))),
    words.daysOf(formats.number(sums.wholeDays, 0), formats.number(sums.days, 0)),
    yieldText(sums.finalYieldH),
    yieldText(sums.referenceYieldH),
    sums.performanceRatio === null ? MISSING : asText(formats.percent(100 * sums.performanceRatio)),
  ];
}

export function dayTable({ days }: LedgerFigures, formats: Formats, times: Times) {
  const last = days.at(-1)!.date;
  return html`<table><caption class="unseen">${words.DAYS}</caption>${head(words.DAY_COLUMNS)}
    <tbody>${days.toReversed().map(day => {
      const [name, ...cells] = dayRow(day, last, formats, times);
      return row([day.day === null ? name! : html`<a href=${dayAddress(day.date)}>${name}</a>`, ...cells]);
    })}</tbody></table>`;
}

export function dayRow(
  { date, kind, day, clearSkyWh }: ListedDay,
  last: string,
  formats: Formats,
  times: Times,
): string[] {
  const name = kind === 'today' ? words.today : times.dayMonth(date, last);
  const energy = (wh: number | null) => asText(formats.energy(wh));
  if (day === null) return [name, MISSING, energy(clearSkyWh), MISSING, MISSING, asText(formats.percent(0)), MISSING];
  const { stateOfChargeMinPct: low, stateOfChargeMaxPct: high } = day;
  const level =
    low === null || high === null
      ? MISSING
      : words.levelRange(asText(formats.percent(low)), asText(formats.percent(high)));
  return [
    name,
    energy(day.solarWh),
    energy(clearSkyWh),
    energy(day.inputWh),
    energy(day.outputWh),
    asText(formats.percent(Math.floor(day.coveragePct))),
    level,
  ];
}
