/** What is to run: what each draws, what it takes a day, and whether this station carries it. */
import { html, nothing, type TemplateResult } from 'lit';
import { meanW, runningW } from '#energy/estimates/plan/planned-load';
import type { PlanAnswer, PlannedLoadSettings, PlanSettings } from '#messages';
import { asText, type Formats } from '../../../format.ts';
import * as words from '../../../words/plan.ts';
import type { Reckoned } from './reckoned.ts';

export interface PlanTable {
  basis: PlanAnswer;
  plan: PlanSettings;
  reckoned: Reckoned;
  formats: Formats;
  /** Row that is being changed; null where none is. */
  editing: number | null;
  edit(row: number): void;
  form(load: PlannedLoadSettings): TemplateResult;
}

export function planTable(table: PlanTable) {
  const { plan, reckoned, formats } = table;
  return html`<table class="loads">
    <caption class="unseen">${words.LOADS}</caption>
    <thead><tr>${words.LOAD_COLUMNS.map(column => html`<th scope="col">${column}</th>`)}</tr></thead>
    <tbody>${plan.load.map((load, i) => row(load, i, table))}</tbody>
    <tfoot><tr><th scope="row">${reckoned.running.length < plan.load.length ? words.TOTAL_FITTING : words.TOTAL}</th><td>${asText(formats.power(reckoned.verdict.runningW))}</td>
      <td>${asText(formats.energy(reckoned.use.outletWh))}</td><td></td></tr></tfoot>
  </table>`;
}

function row(load: PlannedLoadSettings, i: number, { formats, editing, edit, form, ...table }: PlanTable) {
  if (editing === i) return html`<tr><td class="form" colspan="4">${form(load)}</td></tr>`;
  const told = [
    load.hoursPerDay >= 24
      ? words.ALWAYS_ON
      : words.hoursADay(formats.number(load.hoursPerDay, load.hoursPerDay % 1 === 0 ? 0 : 1)),
    load.startFactor > 1 ? words.starts(asText(formats.power(load.powerW * load.startFactor))) : '',
    load.mustStayOn ? words.MUST_STAY_ON : '',
  ].filter(text => text !== '');
  return html`<tr>
    <th scope="row"><b>${load.count > 1 ? `${words.count(load.count)} ` : ''}${load.name}</b> <span class="habit">${told.join(' · ')}</span>
      <button type="button" class="word" aria-label=${`${words.CHANGE}: ${load.name}`} @click=${() => edit(i)}>${words.CHANGE}</button></th>
    <td>${asText(formats.power(runningW(load)))}</td>
    <td>${asText(formats.energy(24 * meanW(load)))}</td>
    <td class="verdict">${verdictCell(i, table)}</td>
  </tr>`;
}

/** The word, and by what. A problem has a shape of its own, whatever the light. */
function verdictCell(i: number, { plan, reckoned }: Pick<PlanTable, 'plan' | 'reckoned'>) {
  const { verdict, off, stopsNeeded, by, othersFit } = reckoned.verdict.loads[i]!;
  const names = off.map(k => plan.load[k]!.name).join(', ');
  const why =
    verdict === 'othersOff'
      ? [
          ...(othersFit ? [] : [words.OTHERS_TOO_MUCH]),
          words.offFirst(names),
          ...(stopsNeeded ? [words.OFF_NEEDED] : []),
        ].join('; ')
      : verdict === 'tooBig' && by !== null
        ? words.tooBigBy[by]
        : verdict === 'unknown'
          ? words.LIMIT_MISSING
          : '';
  // Where large ones are in each other's way, the small ones need not shout as well.
  const inTheWay = reckoned.verdict.loads.some(other => other.off.includes(i));
  const shape = verdict === 'othersOff' && (!inTheWay || !othersFit) ? 'mild' : verdict;
  const word = verdict === 'othersOff' ? words.OTHERS_OFF[by ?? 'continuous'] : words.VERDICTS[verdict];
  return html`<span class=${shape}>${word}</span>${why === '' ? nothing : html`<span class="half">${why}</span>`}`;
}
