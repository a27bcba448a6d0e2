/** What is plugged in, what each draws on average, and how much longer it lasts without it. */
import { html, nothing, type TemplateResult } from 'lit';
import type { OutlastAnswer, WireLoad } from '#messages';
import { asText, type Formats, MISSING, spanText, type Times } from '../../format.ts';
import * as words from '../../words/outlast.ts';
import { addedText } from './sentence.ts';

const MINUTE_MS = 60_000;

export interface LoadsPlan {
  answer: OutlastAnswer;
  nowAt: number;
  formats: Formats;
  times: Times;
  /** Row whose name is being given; null where none is. */
  naming: number | null;
  name(row: number): void;
  form(load: WireLoad): TemplateResult;
}

export const nameOf = (load: WireLoad, formats: Formats): string =>
  load.name ?? (load.kind === 'rest' ? words.REST : words.unnamed(asText(formats.power(load.powerW))));

export function loadsTable(plan: LoadsPlan) {
  const { answer, formats } = plan;
  return html`<table class="loads">
    <caption class="unseen">${words.PLUGGED_IN}</caption>
    <thead><tr><th scope="col">${words.PLUGGED_IN}</th><th scope="col">${words.AVERAGE}</th><th scope="col">${words.WITHOUT}</th></tr></thead>
    <tbody>
      ${answer.loads.length === 0 ? html`<tr><th scope="row">${words.NOTHING_SEEN}</th><td></td><td></td></tr>` : nothing}
      ${answer.loads.map((load, row) => loadRow(load, row, plan))}
      ${answer.own === null ? nothing : ownRow(answer.own, formats)}
    </tbody>
  </table>`;
}

function loadRow(load: WireLoad, row: number, plan: LoadsPlan) {
  const { formats, times, nowAt } = plan;
  const name = nameOf(load, formats);
  const told = [habit(load, formats, times, nowAt), load.mustStayOn ? words.MUST_STAY_ON : ''].filter(t => t !== '');
  return html`<tr>
    <th scope="row"><b>${name}</b> <span class="habit">${told.join(' · ')}</span>
      ${
        plan.naming === row
          ? plan.form(load)
          : html`<button type="button" class="word" aria-label=${`${load.name === null ? words.NAME_IT : words.CHANGE_IT}: ${name}`}
              @click=${() => plan.name(row)}>${load.name === null ? words.NAME_IT : words.CHANGE_IT}</button>`
      }</th>
    <td>${asText(formats.power(load.meanW))}</td>
    <td>${without(load)}</td>
  </tr>`;
}

function habit(load: WireLoad, formats: Formats, times: Times, nowAt: number): string {
  const share = () => asText(formats.percent(load.duty * 100));
  if (load.kind === 'cycling') return words.cycles(share());
  if (load.kind === 'rare') return words.RARE(spanText((load.cycleMin ?? 0) * MINUTE_MS));
  if (load.kind === 'steady') return words.steadySince(times.moment(Date.parse(load.sinceAt), nowAt));
  return load.kind === 'rest' ? words.STEADY : words.sometimes(times.moment(Date.parse(load.lastAt), nowAt));
}

function without({ without: off, half }: WireLoad) {
  if (off === null) return MISSING;
  // Where half of the courses never run out, only the chances tell the difference.
  const adds = off.addsMin === null ? words.inTwenty(off.chances) : addedText(off.addsMin);
  const halved = half === null || half.addsMin === null ? null : words.halfTime(addedText(half.addsMin));
  return html`${adds}${halved === null ? nothing : html`<span class="habit half">${halved}</span>`}`;
}

/** Fewer ticks than this have taught nothing yet. */
const LEARNED_TICKS = 3;

function ownRow(own: NonNullable<OutlastAnswer['own']>, formats: Formats) {
  const watts = (value: number) => `${formats.number(Math.max(1, value), 0)}\u00a0W`;
  const how = own.ticks < LEARNED_TICKS ? words.OWN_ASSUMED : words.ownLearned(watts(own.sdW));
  const outlets = own.outletsOff
    ? words.OUTLETS_OFF
    : own.offW === null
      ? words.LESS_OFF
      : words.offDraws(watts(own.offW));
  return html`<tr><th scope="row">${words.STATION_ITSELF} <span class="habit">${how}; ${outlets}</span></th>
    <td>${asText(formats.power(own.powerW))}</td><td class="habit">${words.WHILE_ON}</td></tr>`;
}
