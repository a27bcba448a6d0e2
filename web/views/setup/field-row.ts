/** One field: its name and unit, its input, why it is asked and what may be written, and what is wrong with it. */
import { html, nothing, type TemplateResult } from 'lit';
import { MINUS } from '../../format.ts';
import { shownTemperature, type TemperatureUnit, unitSign } from '../../temperature.ts';
import * as words from '../../words/setup.ts';
import { textOf, unitOf, valueAt } from './draft.ts';
import type { Field } from './fields.ts';
import { givesBoxes } from './gives-boxes.ts';
import { rangeAt } from './range.ts';
import { tickBoxes } from './tick-boxes.ts';

export interface Form {
  draft: unknown;
  wrong: ReadonlyMap<string, string>;
  change(path: string, field: Field, text: string | boolean): void;
}

/** @param base path of the group, '' for the settings themselves */
export function fieldRow(form: Form, base: string, field: Field): TemplateResult {
  const path = base === '' ? field.path : `${base}.${field.path}`;
  const [name] = words.FIELD_WORDS[field.words];
  const unit = unitOf(form.draft);
  const label = field.temperature === true ? words.withUnit(name, unitSign(unit)) : name;
  const why = whyOf(field, path, unit);
  const wrong = form.wrong.get(path);
  const id = path.replaceAll('.', '-');
  const described = [wrong === undefined ? '' : `${id}-wrong`, why === '' ? '' : `${id}-why`].join(' ').trim();
  return html`<div class="field">
    <label for=${id}>${label}</label>
    <div>
      ${input(form, field, path, id, described, wrong !== undefined)}
      ${wrong === undefined ? nothing : html`<p class="wrong" id="${id}-wrong">${wrong}</p>`}
      ${why === '' ? nothing : html`<p class="ask" id="${id}-why">${why}</p>`}
    </div>
  </div>`;
}

/** Why a field is asked, then what may stand in it: the range from the schema, the example from the words. */
export function whyOf(field: Field, path: string, unit: TemperatureUnit): string {
  const [, why, example = null] = words.FIELD_WORDS[field.words] as words.FieldWords;
  const shown = (value: number) =>
    String(field.temperature === true ? shownTemperature(value, unit) : value).replace('-', MINUS);
  const range = field.kind === 'number' ? rangeAt(path) : null;
  const may =
    range !== null
      ? words.allowed(shown(range.low), shown(range.high), example === null ? null : shown(Number(example)))
      : example === null
        ? ''
        : words.suchAs(example);
  return [why, may].filter(part => part !== '').join(' ');
}

function input(form: Form, field: Field, path: string, id: string, described: string, wrong: boolean): TemplateResult {
  const value = valueAt(form.draft, path);
  const invalid = wrong ? 'true' : 'false';
  const take = (event: Event) => form.change(path, field, (event.target as HTMLInputElement).value);
  if (field.kind === 'yes') {
    return html`<input type="checkbox" id=${id} .checked=${value === true} aria-describedby=${described}
      @change=${(event: Event) => form.change(path, field, (event.target as HTMLInputElement).checked)}>`;
  }
  if (field.kind === 'gives' || field.kind === 'days') {
    const [label] = words.FIELD_WORDS[field.words];
    const boxes = { value, id, label, described, change: (text: string) => form.change(path, field, text) };
    return field.kind === 'gives'
      ? givesBoxes(boxes)
      : tickBoxes(boxes, Object.keys(words.WEEKDAYS), day => words.WEEKDAYS[day as keyof typeof words.WEEKDAYS] ?? day);
  }
  if (field.kind === 'choice') {
    return html`<select id=${id} aria-describedby=${described} aria-invalid=${invalid} @change=${take}>
      ${field.optional === true ? html`<option value="" ?selected=${value === undefined}>${words.NOT_TOLD}</option>` : nothing}
      ${field.choices!.map(choice => html`<option value=${choice} ?selected=${choice === value}>${words.CHOICES[choice]}</option>`)}
    </select>`;
  }
  const text = textOf(field, value, unitOf(form.draft));
  if (field.kind === 'lines') {
    return html`<textarea id=${id} rows="3" spellcheck="false" aria-describedby=${described} aria-invalid=${invalid}
      .value=${text} @change=${take}></textarea>`;
  }
  return html`<input id=${id} .value=${text} autocomplete="off" spellcheck="false"
    inputmode=${field.kind === 'number' ? 'decimal' : 'text'} list=${field.suggest ?? nothing}
    aria-describedby=${described} aria-invalid=${invalid} @change=${take}>`;
}
