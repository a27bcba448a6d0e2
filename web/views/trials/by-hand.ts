/** What the owner does while a trial runs: telling which panels are plugged in, and counts read off a meter. */
import { html, nothing, type TemplateResult } from 'lit';
import { LAST_COUNT_MS } from '#energy/estimates/trials/kinds';
import type { TrialChange, WireTrial } from '#messages';
import { asText } from '../../format.ts';
import { numberTyped } from '../../typed-text.ts';
import * as words from '../../words/trials-result.ts';
import { isLive, type Said } from './sentence.ts';

const STEPS = ['a', 'b', 'away'] as const;

export type Act = (change: TrialChange) => void;

/** Large enough for a thumb outdoors: one tap tells it. */
export function stepButtons(
  trial: WireTrial,
  { times, nowAt }: Said,
  busy: boolean,
  act: Act,
): TemplateResult | typeof nothing {
  const { options, steps } = trial;
  if (options.kind !== 'twoSets' || options.how !== 'alternated') return nothing;
  const last = steps.at(-1);
  const names = { a: options.a.name, b: options.b.name };
  const name = (step: (typeof STEPS)[number]) =>
    step === 'away' ? words.STEP_NAMES.away : words.STEP_NAMES[step].replace(/^[AB]/, names[step]);
  return html`<h2 id="steps">${words.STEP_TITLE}</h2>
    <div class="steps" role="group" aria-labelledby="steps">${STEPS.map(step => html`<button type="button" ?disabled=${busy} aria-pressed=${last?.step === step ? 'true' : 'false'} @click=${() => act({ do: 'step', step })}>${name(step)}</button>`)}</div>
    ${last === undefined ? nothing : html`<p class="ask" role="status">${words.stepTold(name(last.step), times.moment(Date.parse(last.at), nowAt))}</p>`}`;
}

/** A count that can be believed: not less than the last one. */
export function countTyped(text: string, trial: WireTrial): number | null {
  const value = numberTyped(text);
  const last = trial.typed.at(-1)?.energyWh ?? 0;
  return value !== null && value >= last && value <= 1e9 ? value : null;
}

const isTyped = ({ options }: WireTrial): boolean => options.meter?.source === null;

/** The first count after the end of one that ended well still belongs to it. */
export function takesLastCount(trial: WireTrial, nowAt: number): boolean {
  const { phase, endedAt } = trial.judgement;
  if (!isTyped(trial) || phase !== 'done' || endedAt === null) return false;
  const endAt = Date.parse(endedAt);
  return nowAt <= endAt + LAST_COUNT_MS && trial.typed.every(({ at }) => Date.parse(at) <= endAt);
}

export function meterForm(
  trial: WireTrial,
  { times, nowAt, formats }: Said,
  { busy, wrong, send }: { busy: boolean; wrong: boolean; send: (text: string) => void },
): TemplateResult | typeof nothing {
  const last = takesLastCount(trial, nowAt);
  if (!isTyped(trial) || (!isLive(trial) && !last)) return nothing;
  const submit = (event: Event) => {
    event.preventDefault();
    send(((event.target as HTMLFormElement).elements.namedItem('count') as HTMLInputElement).value);
  };
  return html`<h2 id="meter">${last ? words.METER_LAST_TITLE : words.METER_TITLE}</h2>
    <form novalidate class="row" aria-labelledby="meter" @submit=${submit}><label>${words.METER_LABEL} <input name="count" inputmode="decimal" autocomplete="off" aria-invalid=${wrong ? 'true' : 'false'} aria-describedby="meter-wrong"></label>
      <button class="main" ?disabled=${busy}>${words.METER_SEND}</button></form>
    <p class="ask">${last ? words.METER_LAST : words.METER_HOW}</p>
    <p id="meter-wrong" class=${wrong ? 'wrong' : ''} role="status">${wrong ? words.METER_WRONG : nothing}</p>
    ${trial.typed.length === 0 ? nothing : html`<table class="rows counts" aria-labelledby="meter"><tbody>${[...trial.typed].reverse().map(({ at, energyWh }) => html`<tr><th scope="row">${times.moment(Date.parse(at), nowAt)}</th><td>${asText({ text: formats.number(energyWh, 0), unit: 'Wh' })}</td></tr>`)}</tbody></table>`}`;
}
