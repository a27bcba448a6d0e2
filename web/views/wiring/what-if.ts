/** Numbers to try without saving: panels used of each kind, the coldest morning, another port. */
import { html, nothing, type TemplateResult } from 'lit';
import type { Panel, Port } from '#energy/wiring/index';
import { MINUS } from '../../format.ts';
import { celsiusOf, shownTemperature, type TemperatureUnit, unitSign } from '../../temperature.ts';
import { numberTyped } from '../../typed-text.ts';
import * as words from '../../words/wiring.ts';
import { NOTHING_TRIED, type Tried } from './model.ts';
import { numberField } from './number-field.ts';

/** What was typed, field by field; absent where it was not. */
export type Typed = Readonly<Record<string, string>>;

const MOST_PANELS = 40;
const COLD_C = { low: -60, high: 40 };

const countOf = (text: string | undefined): number | undefined => {
  const number = text === undefined ? null : numberTyped(text);
  return number !== null && Number.isInteger(number) && number >= 1 && number <= MOST_PANELS ? number : undefined;
};
const coldOf = (text: string | undefined, scale: TemperatureUnit): number | undefined => {
  const number = text === undefined ? null : numberTyped(text);
  const celsius = number === null ? undefined : celsiusOf(number, scale);
  return celsius !== undefined && celsius >= COLD_C.low && celsius <= COLD_C.high ? celsius : undefined;
};

/** What of it can be tried; what is no number, or out of range, changes nothing. */
export function triedOf(typed: Typed, kinds: number, scale: TemperatureUnit): Tried {
  if (Object.keys(typed).length === 0) return NOTHING_TRIED;
  return {
    counts: Array.from({ length: kinds }, (_, i) => countOf(typed[`count-${i}`])),
    coldestC: coldOf(typed.coldest, scale),
  };
}

export interface WhatIf {
  kinds: readonly Panel[];
  ports: readonly Port[];
  portIndex: number;
  coldestC: number | null;
  typed: Typed;
  scale: TemperatureUnit;
  type(field: string, text: string): void;
  choosePort(index: number): void;
  reset(): void;
}

export function whatIf(parts: WhatIf): TemplateResult {
  const { kinds, typed, scale, coldestC } = parts;
  const shown = (celsius: number) => String(shownTemperature(celsius, scale)).replace('-', MINUS);
  const wrong = (field: string, value: unknown, least: string, most: string) =>
    typed[field] === undefined || value !== undefined ? '' : words.notWithin(least, most);
  return html`<section class="what-if"><h2>${words.WHAT_IF}</h2><p class="ask">${words.WHAT_IF_WHY}</p>
    <div class="fields">
      ${parts.ports.length < 2 ? nothing : portChoice(parts)}
      ${kinds.map((kind, i) =>
        numberField({
          id: `count-${i}`,
          label: words.panelsUsed(kinds.length === 1 ? null : kind.name),
          text: typed[`count-${i}`] ?? String(kind.count),
          wrong: wrong(`count-${i}`, countOf(typed[`count-${i}`]), '1', String(MOST_PANELS)),
          take: text => parts.type(`count-${i}`, text),
        }),
      )}
      ${numberField({
        id: 'coldest',
        label: `${words.COLDEST}, ${unitSign(scale)}`,
        text: typed.coldest ?? (coldestC === null ? '' : shown(coldestC)),
        wrong: wrong('coldest', coldOf(typed.coldest, scale), shown(COLD_C.low), shown(COLD_C.high)),
        take: text => parts.type('coldest', text),
      })}
    </div>
    ${
      Object.keys(typed).length === 0
        ? nothing
        : html`<p role="status">${words.tried} <button type="button" class="word" @click=${parts.reset}>${words.AS_SETUP}</button></p>`
    }
  </section>`;
}

const portChoice = ({ ports, portIndex, choosePort }: WhatIf): TemplateResult =>
  html`<div class="number"><label for="port">${words.PORT}</label>
    <select id="port" @change=${(event: Event) => choosePort(Number((event.target as HTMLSelectElement).value))}>
      ${ports.map(({ name }, i) => html`<option value=${i} ?selected=${i === portIndex}>${name}</option>`)}
    </select></div>`;
