/** The first week as a list: what to do, on which day, what is done. */
import { html, nothing, type TemplateResult } from 'lit';
import type { FirstWeekAnswer, WireFirstWeekStep } from '#messages';
import * as words from '../../words/trials.ts';
import type { Said } from './sentence.ts';
import { beginAddress, trialAddress } from './trials-api.ts';

/** Where a step leads: to its trial, to beginning it, or nowhere. */
function linkOf({ do: what, trial, state }: WireFirstWeekStep): string | null {
  if (trial !== null) return trialAddress(trial);
  return what === 'fullCharge' || what === 'decide' || state === 'done' ? null : beginAddress(what);
}

export function firstWeekList(week: FirstWeekAnswer, { times, nowAt }: Said): TemplateResult {
  const today = times.date(nowAt);
  const day = (date: string) => times.dayMonth(date, today);
  return html`<h2>${words.FIRST_WEEK}</h2>
    <ol class="week">${week.steps.map(step => {
      const link = linkOf(step);
      const name = html`<b>${words.STEPS[step.do]}</b>`;
      return html`<li class=${step.state}><span class="day">${day(step.date)}</span><span>${link === null ? name : html`<a href=${link}>${name}</a>`}</span><span class="state">${words.STEP_STATES[step.state]}</span></li>`;
    })}</ol>
    <p class="ask">${week.fullyChargedAt === null ? `${words.BEFORE_CHARGE} ` : ''}${
      week.returnBy === null
        ? html`${words.RETURN_UNKNOWN} <a href="/setup">${words.TELL_RETURN}</a>.`
        : words.returnBy(day(week.returnBy))
    }</p>
    ${week.leftOut.length === 0 ? nothing : html`<p class="ask">${words.leftOut(week.leftOut.map(kind => words.KINDS[kind].name.toLowerCase()).join(', '))}</p>`}`;
}

/** Over once it is decided, or the last day has gone by. */
export const weekIsOver = (week: FirstWeekAnswer, today: string): boolean =>
  (week.returnBy ?? week.steps.at(-1)?.date ?? '') < today;
