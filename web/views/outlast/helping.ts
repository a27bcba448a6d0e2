/** How much may be used, what could be added, what tomorrow's sun would bring, how good earlier answers were. */
import { html, nothing, type TemplateResult } from 'lit';
import type { OutlastAnswer } from '#messages';
import { asText, type Formats, spanText, type Times } from '../../format.ts';
import * as words from '../../words/outlast.ts';
import type { AddedSource } from './outlast-api.ts';

const MINUTE_MS = 60_000;
const PROMISED = 0.8;
/** Minutes are told to five: what a charger brings is not known better. */
const toFive = (minutes: number) => Math.max(5, Math.ceil(minutes / 5) * 5);

export function toGetThere(answer: OutlastAnswer, formats: Formats) {
  const { budget, added, likely } = answer;
  if (budget === null) return nothing;
  return html`<p class="told">${
    budget.powerW === null
      ? words.noneLeft
      : html`${words.useAtMost(budget.chances)}<b>${asText(formats.power(Math.floor(budget.powerW)))}</b>${words.onAverage(
          asText(formats.energy(roundWh(budget.powerW * 24))),
        )}${likely === null ? nothing : words.likelyUse(asText(formats.power(likely.lowW)), asText(formats.power(likely.highW)))}`
  }</p>
  <p class="told">${whatToAdd(added, formats)}</p>`;
}

const roundWh = (wh: number): number => Math.floor(wh / 10) * 10;

function whatToAdd(added: OutlastAnswer['added'], formats: Formats) {
  if (added.some(a => a.minutes === 0)) return words.ENOUGH;
  const possible = added.filter(a => a.minutes !== null);
  if (possible.length === 0) return words.NOT_ENOUGH;
  return html`${words.PUT_IN}${possible.map(
    ({ source, minutes, powerW }, i) =>
      html`${i === 0 ? '' : i === possible.length - 1 ? words.OR : ', '}<b>${spanText(
        toFive(minutes!) * MINUTE_MS,
      )}</b> ${words.SOURCES[source]}${words.atWatts(asText(formats.power(powerW)))}`,
  )}.`;
}

export interface WattsPlan {
  texts: Readonly<Record<AddedSource, string>>;
  wrong: Readonly<Record<AddedSource, string>>;
  take(source: AddedSource, text: string): void;
}

export const wattsFields = ({ texts, wrong, take }: WattsPlan): TemplateResult => html`<details>
  <summary>${words.SOURCE_WATTS}</summary>
  <div class="fields">${(['generator', 'vehicle', 'wall'] as const).map(
    source => html`<div class="number"><label for=${source}>${words.SOURCE_LABELS[source]}</label>
      <input id=${source} inputmode="numeric" autocomplete="off" .value=${texts[source]}
        aria-invalid=${wrong[source] === '' ? 'false' : 'true'} aria-describedby=${wrong[source] === '' ? nothing : `${source}-wrong`}
        @change=${(event: Event) => take(source, (event.target as HTMLInputElement).value)}>
      ${wrong[source] === '' ? nothing : html`<p class="wrong" id="${source}-wrong">${wrong[source]}</p>`}</div>`,
  )}</div>
  <p class="ask">${words.COMMON_PRACTICE}</p>
</details>`;

export function sunTomorrow({ tomorrow, skyFrom }: OutlastAnswer, formats: Formats) {
  const { missing, good, poor } = tomorrow;
  if (missing !== null) return html`<p>${words.SUN_MISSING[missing]} <a href="/setup">${words.OPEN_SETUP}</a></p>`;
  if (good === null || poor === null) return nothing;
  const energy = (wh: number) => asText(formats.energy(roundWh(wh)));
  return html`<p>${words.sunWould(energy(good.sunWh), good.chances, energy(poor.sunWh), poor.chances)}</p>
    ${skyFrom === 'usualDay' ? html`<p class="ask">${words.USUAL_DAY} <a href="/setup">${words.OPEN_SETUP}</a></p>` : nothing}`;
}

export const earlier = ({ score }: OutlastAnswer): string =>
  score.of === 0 ? words.NOT_SCORED : words.scored(score.of, score.held, Math.round(PROMISED * score.of));

export function together(answer: OutlastAnswer, formats: Formats, times: Times, nowAt: number) {
  const found = answer.together;
  if (found === null) return nothing;
  if (found.both === null) return html`<p>${words.otherSilent(found.name)}</p>`;
  const { move } = found;
  const what =
    move === null
      ? ''
      : move.name === null
        ? words.whatDraws(asText(formats.power(move.powerW)))
        : words.the(move.name);
  return html`<p class="told">${words.bothReach(times.moment(Date.parse(answer.untilAt), nowAt), found.both)}
    ${move === null ? words.NO_MOVE : html`<b>${words.moveIt(what, found.name, move.both)}</b>`}</p>
    <p class="ask">${words.INDEPENDENT}</p>`;
}
