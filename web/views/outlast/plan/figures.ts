/** The figures beside the list: how long, what a day takes, what runs and starts at once, and the smallest that would do. */
import { html, nothing } from 'lit';
import type { Range } from '#energy/estimates/plan/lasting';
import { totalRunningW, totalStartingW } from '#energy/estimates/plan/planned-load';
import type { PlanAnswer, PlanSettings } from '#messages';
import { asText, type Formats } from '../../../format.ts';
import * as words from '../../../words/plan.ts';
import type { Reckoned } from './reckoned.ts';
import { hoursText } from './sentence.ts';

const spread = ({ p10, p50, p90 }: Range) => words.spread(hoursText(p10, 'down'), hoursText(p50), hoursText(p90, 'up'));

export function howLong({ lasting }: Reckoned) {
  if (lasting === null) return nothing;
  const rows: [string, Range | null][] = [
    [words.FROM_FULL, lasting.full],
    [words.FROM_NOW, lasting.now],
    [words.NEEDED_ONLY, lasting.needed],
  ];
  return html`<h2>${words.HOW_LONG}</h2><dl>${rows.map(([name, range]) => (range === null ? nothing : html`<dt>${name}</dt><dd>${spread(range)}</dd>`))}</dl>`;
}

export function aDay({ use }: Reckoned, basis: PlanAnswer, formats: Formats) {
  const energy = (wh: number) => asText(formats.energy(wh));
  // The label's watt-hours are told to nobody: what comes in is what a panel or a wall is measured by.
  const [, ownW, inWorth] = basis.losses.mean;
  return html`<h2>${words.A_DAY}</h2><p class="told">${words.atOutlets(energy(use.outletWh))}, <b>${words.toPutIn(energy(use.need.p50 / inWorth))}</b>,
    ${words.ownPart(energy((24 * ownW) / inWorth))}.</p>`;
}

export function atOnce({ running, verdict }: Reckoned, basis: PlanAnswer, formats: Formats) {
  const watts = (w: number) => asText(formats.power(w));
  const startingW = totalStartingW(running);
  const over = basis.surgeW !== null && startingW > basis.surgeW && verdict.startsTogether === false;
  return html`<h2>${words.AT_ONCE}</h2><p class="told">${words.runningTold(watts(totalRunningW(running)))};
    ${words.startingTold(watts(startingW))}. ${over ? html`<b>${words.START_APART}</b>` : nothing}</p>`;
}

/** Never told smaller than it is: to 10 Wh or 10 W up. */
const upTo10 = (value: number): number => Math.ceil(value / 10 - 1e-9) * 10;

export function smallestTable(
  { sun }: Reckoned,
  basis: PlanAnswer,
  formats: Formats,
  monthName: (month: number) => string,
) {
  if (sun === null || sun.smallest === null) return nothing;
  const { smallest, worksheet, assumedPanels } = sun;
  const energy = (wh: number) => asText(formats.energy(upTo10(wh)));
  const watts = (w: number | null) => (w === null ? words.NO_SUN : asText(formats.power(upTo10(w))));
  const panelsW = basis.panels.reduce((sum, p) => sum + p.ratedW, 0);
  const yours = words.YOURS(
    asText(formats.energy(basis.ratedWh)),
    assumedPanels ? words.NO_PANELS_YET : asText(formats.power(panelsW)),
  );
  const notes = differences(sun.smallest, worksheet);
  if (basis.solarMaxW !== null && (smallest.panelW ?? 0) > basis.solarMaxW)
    notes.push(words.PORT_LIMITS(asText(formats.power(basis.solarMaxW))));
  return html`<h2>${words.SMALLEST}</h2><p class="ask">${words.worstIs(monthName(smallest.month))} ${yours}</p>
    <table class="small-table"><caption class="unseen">${words.SMALLEST}</caption>
      <thead><tr>${words.SMALLEST_COLUMNS.map(column => html`<th scope="col">${column === '' ? html`<span class="unseen">${words.SMALLEST}</span>` : column}</th>`)}</tr></thead>
      <tbody><tr><th scope="row">${words.STATION_ROW}</th><td><b>${energy(smallest.stationWh)}</b></td><td>${energy(worksheet.stationWh)}</td></tr>
        <tr><th scope="row">${words.PANEL_ROW}</th><td><b>${watts(smallest.panelW)}</b></td><td>${watts(worksheet.panelW)}</td></tr></tbody></table>
    <ul class="small">${[words.PAPER, ...notes].map(text => html`<li>${text}</li>`)}</ul>`;
}

/** Where paper and station are further apart than this, why is said. */
const APART = 1.05;

/** Why paper and station differ. */
export function differences(
  smallest: { panelW: number | null; stationWh: number },
  paper: { panelW: number | null; stationWh: number },
): string[] {
  const notes: string[] = [];
  if (smallest.panelW !== null && paper.panelW !== null) {
    if (paper.panelW > APART * smallest.panelW) notes.push(words.PAPER_MORE);
    else if (smallest.panelW > APART * paper.panelW) notes.push(words.PAPER_LESS_PANEL);
  }
  if (smallest.stationWh > APART * paper.stationWh) notes.push(words.PAPER_LESS_STATION);
  else if (paper.stationWh > APART * smallest.stationWh) notes.push(words.PAPER_MORE_STATION);
  return notes;
}

export function monthTable({ sun }: Reckoned, formats: Formats, monthName: (month: number) => string) {
  if (sun === null) return nothing;
  const energy = (wh: number) => asText(formats.energy(wh));
  return html`<details><summary>${words.MONTH_TABLE}</summary><div class="across" tabindex="0" role="region" aria-label=${words.MONTH_TABLE}>
    <table class="months"><caption class="unseen">${words.MONTHS}</caption>
    <thead><tr>${words.MONTH_COLUMNS.map(column => html`<th scope="col">${column}</th>`)}</tr></thead>
    <tbody>${sun.months.map(
      month => html`<tr><th scope="row">${monthName(month.month)}</th>
        <td>${words.range(formats.number(month.sunWh.p10, 0), energy(month.sunWh.p90))}</td><td>${energy(month.meanWh)}</td>
        <td>${formats.number(month.inTen, 0)}</td>
        <td>${month.dullDays === null ? words.NO_END : formats.number(month.dullDays, 1)}</td>
        <td>${month.from === 'assumed' ? words.WEATHER_FROM.assumed : words.withDays(words.WEATHER_FROM[month.from], formats.number(month.recordedDays, 0))}</td></tr>`,
    )}</tbody></table></div></details>`;
}

export const planHasSun = (plan: PlanSettings, { sun }: Reckoned): boolean => sun !== null && plan.load.length > 0;
