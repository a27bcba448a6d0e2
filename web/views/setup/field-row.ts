/** One field: its name, why it is asked, its input, and beside it what is wrong with it. */
import { html, nothing, type TemplateResult } from 'lit';
import * as words from '../../words/setup.ts';
import { textOf, valueAt } from './draft.ts';
import type { Field } from './fields.ts';

export interface Form {
  draft: unknown;
  wrong: ReadonlyMap<string, string>;
  change(path: string, field: Field, text: string | boolean): void;
}

/** @param base path of the group, '' for the settings themselves */
export function fieldRow(form: Form, base: string, field: Field): TemplateResult {
  const path = base === '' ? field.path : `${base}.${field.path}`;
  const [label, why] = words.FIELD_WORDS[field.words];
  const wrong = form.wrong.get(path);
  const id = path.replaceAll('.', '-');
  return html`<div class="field">
    <label for=${id}>${label}</label>
    <div>
      ${input(form, field, path, id, wrong !== undefined)}
      ${wrong === undefined ? nothing : html`<p class="wrong" id="${id}-wrong">${wrong}</p>`}
      ${why === '' ? nothing : html`<p class="ask" id="${id}-why">${why}</p>`}
    </div>
  </div>`;
}

function input(form: Form, field: Field, path: string, id: string, wrong: boolean): TemplateResult {
  const value = valueAt(form.draft, path);
  const [, why] = words.FIELD_WORDS[field.words];
  const described = [wrong ? `${id}-wrong` : '', why === '' ? '' : `${id}-why`].join(' ').trim();
  const invalid = wrong ? 'true' : 'false';
  const take = (event: Event) => form.change(path, field, (event.target as HTMLInputElement).value);
  if (field.kind === 'yes') {
    return html`<input type="checkbox" id=${id} .checked=${value === true} aria-describedby=${described}
      @change=${(event: Event) => form.change(path, field, (event.target as HTMLInputElement).checked)}>`;
  }
  if (field.kind === 'choice') {
    return html`<select id=${id} aria-describedby=${described} aria-invalid=${invalid} @change=${take}>
      ${field.choices!.map(choice => html`<option value=${choice} ?selected=${choice === value}>${words.CHOICES[choice]}</option>`)}
    </select>`;
  }
  if (field.kind === 'lines') {
    return html`<textarea id=${id} rows="3" spellcheck="false" aria-describedby=${described} aria-invalid=${invalid}
      .value=${textOf(field, value)} @change=${take}></textarea>`;
  }
  return html`<input id=${id} .value=${textOf(field, value)} autocomplete="off" spellcheck="false"
    inputmode=${field.kind === 'number' ? 'decimal' : 'text'} list=${field.suggest ?? nothing}
    aria-describedby=${described} aria-invalid=${invalid} @change=${take}>`;
}
