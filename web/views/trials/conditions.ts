/** Under what a trial ran, what disturbed it, what its result does not say, and how to cite it. */
import { html, nothing, type TemplateResult } from 'lit';
import { type Together, together } from '#energy/estimates/trials/seen-together';
import type { TrialChange, TrialConditions, WireTrial } from '#messages';
import { asText, type Formats, GAP, MISSING, spanText } from '../../format.ts';
import { numberTyped } from '../../typed-text.ts';
import * as trials from '../../words/trials.ts';
import * as begin from '../../words/trials-begin.ts';
import * as words from '../../words/trials-result.ts';
import { isLive, type Said, spanOf } from './sentence.ts';

const names = words.CONDITION_NAMES;

/** From and to in one unit, written once. */
function span(from: number | null, to: number | null, formats: Formats): string {
  const text = (value: number | null) => (value === null ? MISSING : formats.percent(value).text);
  return `${text(from)} to ${text(to)}${GAP}%`;
}

const meansInput = ({ kind }: WireTrial): boolean => kind === 'charge' || kind === 'solar';

export function conditionPairs(trial: WireTrial, said: Said): [string, string][] {
  const { formats, times, nowAt } = said;
  const { judgement, conditions, options } = trial;
  const under = judgement.result?.under;
  const pairs: [string, string | null][] = [
    [
      names.when,
      judgement.beganAt === null
        ? null
        : judgement.endedAt === null
          ? times.moment(Date.parse(judgement.beganAt), nowAt, true)
          : spanOf(Date.parse(judgement.beganAt), Date.parse(judgement.endedAt), said, true),
    ],
    [
      names[meansInput(trial) ? 'meanInW' : 'meanW'],
      under?.meanW == null || trial.kind === 'ownDraw' ? null : asText(formats.power(under.meanW)),
    ],
    [names.tempC, under?.tempC == null ? null : asText(formats.temperature(under.tempC))],
    [
      names.charge,
      under === undefined || (under.fromPct === null && under.toPct === null)
        ? null
        : span(under.fromPct, under.toPct, formats),
    ],
    [names.load, conditions.load ?? null],
    [names.airTempC, conditions.airTempC === undefined ? null : asText(formats.temperature(conditions.airTempC))],
    [
      names.meter,
      options.meter === undefined
        ? null
        : words.meterTold(options.meter.name, asText({ text: formats.number(options.meter.limitPct, 1), unit: '%' })),
    ],
    ...setsOf(trial, formats),
    [names.note, conditions.note ?? null],
  ];
  return pairs.filter((pair): pair is [string, string] => pair[1] !== null && pair[1] !== '');
}

/** Which set is which. */
function setsOf({ options }: WireTrial, formats: Formats): [string, string][] {
  if (options.kind !== 'twoSets') return [];
  const told = ({ name, ratedW }: { name: string; ratedW: number }) =>
    words.setTold(name, asText(formats.power(ratedW)));
  return [
    [names.setA, told(options.a)],
    [names.setB, told(options.b)],
  ];
}

export function conditionsList(trial: WireTrial, said: Said): TemplateResult {
  const pairs = conditionPairs(trial, said);
  const { endsBecause } = trial.judgement;
  return html`<h2>${words.CONDITIONS}</h2>
    <dl>${pairs.map(([name, value]) => html`<dt>${name}</dt><dd>${value}</dd>`)}<dt>${words.ID}</dt><dd><code>${trial.id}</code>, ${words.versionTold(trial.version)}</dd></dl>
    ${endsBecause === null ? nothing : html`<p class="ask">${trials.ENDED[endsBecause]}</p>`}`;
}

function sizeOf({ amount, most, count, isSum, unit }: Together<string>, formats: Formats): string | null {
  const text = (value: number | null) =>
    value === null || unit === null
      ? null
      : unit === 'min'
        ? spanText(value * 60_000, x => formats.number(x, 0))
        : asText({ text: formats.number(value, 0), unit });
  return count === 1
    ? text(amount)
    : words.timesSeen(formats.number(count, 0), isSum ? text(amount) : null, text(most));
}

/** What was seen as it happened, and what to do about it. */
export function seenList(trial: WireTrial, said: Said): TemplateResult {
  const { formats, times, nowAt } = said;
  const { spoiledBy } = trial.judgement;
  const live = isLive(trial);
  return html`<h2 id="seen">${words.SEEN}</h2>${
    spoiledBy.length === 0
      ? html`<p>${words.NOTHING_SEEN}</p>`
      : html`<ul class="plain" aria-labelledby="seen">${together(spoiledBy).map(one => {
          const [happened, todo] = words.whatOf(trial.kind, one.what);
          const bad = one.consequence === 'spoils';
          const from = Date.parse(one.at);
          const when = one.count === 1 ? times.moment(from, nowAt) : spanOf(from, Date.parse(one.toAt), said);
          const size = sizeOf(one, formats);
          return html`<li class=${bad ? 'wrong' : ''}>${when}: ${size === null ? happened : words.withAmount(happened, size)} ${words.CONSEQUENCE[one.consequence]}${bad || live ? ` ${todo}` : ''}</li>`;
        })}</ul>`
  }`;
}

export const notSaid = ({ kind, simulated }: WireTrial): TemplateResult =>
  html`<h2>${words.NOT_SAID}</h2><ul class="plain">${[...words.DOES_NOT_SAY[kind], ...(simulated ? [trials.SIMULATED_LONG] : [])].map(text => html`<li>${text}</li>`)}</ul>`;

/** The owner's own words of it, at any time. Left empty, a word is taken back. */
export function tellMore(trial: WireTrial, busy: boolean, act: (change: TrialChange) => void): TemplateResult {
  const { load, airTempC, note } = trial.conditions;
  const field = (name: 'load' | 'airTempC' | 'note', value: string | number | undefined) =>
    html`<div class="field"><label>${begin.FIELDS[name][0]} <input name=${name} .value=${String(value ?? '')} autocomplete="off"></label></div>`;
  return html`<details><summary>${words.TELL_MORE}</summary>
    <form novalidate @submit=${(event: Event) => {
      event.preventDefault();
      const form = new FormData(event.target as HTMLFormElement);
      act({ do: 'conditions', conditions: conditionsTyped(name => String(form.get(name) ?? '')) });
    }}><div class="fields">${field('load', load)}${field('airTempC', airTempC)}${field('note', note)}</div><button ?disabled=${busy}>${words.KEEP}</button></form></details>`;
}

export function conditionsTyped(typed: (name: string) => string): TrialConditions {
  const [load, note, air] = ['load', 'note', 'airTempC'].map(name => typed(name).trim()) as [string, string, string];
  const airTempC = numberTyped(air);
  return {
    ...(load === '' ? {} : { load: load.slice(0, 80) }),
    ...(note === '' ? {} : { note: note.slice(0, 400) }),
    ...(airTempC === null || Math.abs(airTempC) > 60 ? {} : { airTempC: Math.max(-40, airTempC) }),
  };
}
