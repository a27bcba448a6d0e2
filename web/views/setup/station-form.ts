/** The fields of one station, group by group, and its lists of solar inputs and panels. */
import { html, nothing, type TemplateResult } from 'lit';
import * as words from '../../words/setup.ts';
import { valueAt } from './draft.ts';
import { type Form, fieldRow } from './field-row.ts';
import {
  BATTERY_FIELDS,
  type Field,
  KIND_FIELD,
  PANEL_FIELDS,
  PLACE_FIELDS,
  PORT_FIELDS,
  STATION_FIELDS,
  TRANSPORT_FIELDS,
} from './fields.ts';

export interface StationForm extends Form {
  addEntry(listPath: string): void;
  removeEntry(listPath: string, index: number): void;
}

export const group = (title: string, rows: TemplateResult | readonly TemplateResult[]): TemplateResult =>
  html`<section><h2>${title}</h2>${rows}</section>`;

export function stationForm(form: StationForm, base: string): TemplateResult {
  const rows = (fields: readonly Field[]) => fields.map(field => fieldRow(form, base, field));
  const kind = String(valueAt(form.draft, `${base}.transport.kind`));
  return html`
    ${group(words.GROUPS.station, rows(STATION_FIELDS))}
    ${group(words.GROUPS.link, rows([KIND_FIELD, ...(TRANSPORT_FIELDS[kind] ?? [])]))}
    ${group(words.GROUPS.battery, rows(BATTERY_FIELDS))}
    ${group(words.GROUPS.ports, entries(form, `${base}.solarPort`, PORT_FIELDS, words.portTitle, words.ADD_PORT))}
    ${group(words.GROUPS.panels, entries(form, `${base}.panel`, PANEL_FIELDS, words.panelTitle, words.ADD_PANEL))}
    ${group(words.GROUPS.place, [...rows(PLACE_FIELDS), ...placeTrouble(form, base)])}`;
}

/** A place with one coordinate is complained about as a whole. */
function placeTrouble(form: Form, base: string): TemplateResult[] {
  const text = form.wrong.get(`${base}.place`);
  return text === undefined ? [] : [html`<p class="wrong">${text}</p>`];
}

function entries(
  form: StationForm,
  listPath: string,
  fields: readonly Field[],
  titleOf: (n: number) => string,
  add: string,
): TemplateResult {
  const list = (valueAt(form.draft, listPath) as unknown[] | undefined) ?? [];
  return html`${list.map((_, i) => {
    const title = titleOf(i + 1);
    return html`<fieldset>
      <legend>${title}</legend>
      <div class="entry">${fields.map(field => fieldRow(form, `${listPath}.${i}`, field))}</div>
      <button class="word" type="button" @click=${() => form.removeEntry(listPath, i)}>${words.removeEntry(title)}</button>
    </fieldset>`;
  })}
  ${form.wrong.has(listPath) ? html`<p class="wrong">${form.wrong.get(listPath)}</p>` : nothing}
  <button type="button" @click=${() => form.addEntry(listPath)}>${add}</button>`;
}
