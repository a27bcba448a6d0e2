/** The fields of one station, group by group, and its lists of solar inputs and panels. */
import { html, nothing, type TemplateResult } from 'lit';
import type { Formats } from '../../format.ts';
import * as partWords from '../../words/parts.ts';
import * as words from '../../words/setup.ts';
import { valueAt } from './draft.ts';
import { type Form, fieldRow } from './field-row.ts';
import {
  BATTERY_FIELDS,
  DATASHEET_FIELDS,
  type Field,
  KIND_FIELD,
  LEAD_FIELDS,
  LOAD_FIELDS,
  PANEL_FIELDS,
  PLACE_FIELDS,
  PORT_FIELDS,
  PORT_MANUAL_FIELDS,
  STATION_FIELDS,
  TRANSPORT_FIELDS,
} from './fields.ts';
import { type Folds, folded, foldedWithin, group } from './group.ts';
import { partRows } from './part-form.ts';
import { batteryTold, loadsTold, panelsTold, placeTold, portsTold } from './told.ts';

export interface StationForm extends Form, Folds {
  formats: Formats;
  addEntry(listPath: string): void;
  removeEntry(listPath: string, index: number): void;
  /** The button that asks the browser where it is, and what came of it. */
  position(base: string): TemplateResult;
  /** The search for Bluetooth stations. */
  search(base: string): TemplateResult;
  /** Letting the station go for a while. */
  lettingGo(base: string): TemplateResult | typeof nothing;
}

export function stationForm(form: StationForm, base: string): TemplateResult {
  const { draft, formats } = form;
  const rows = (fields: readonly Field[]) => fields.map(field => fieldRow(form, base, field));
  return html`
    ${group(words.GROUPS.station, rows(STATION_FIELDS))}
    ${group(words.GROUPS.link, link(form, base))}
    ${folded(form, 'battery', words.GROUPS.battery, batteryTold(draft, base, formats), rows(BATTERY_FIELDS))}
    ${folded(form, 'ports', words.GROUPS.ports, portsTold(draft, base, formats), ports(form, `${base}.solarPort`))}
    ${folded(form, 'panels', words.GROUPS.panels, panelsTold(draft, base, formats), panels(form, `${base}.panel`))}
    ${folded(form, 'loads', words.GROUPS.loads, loadsTold(draft, base, formats), loads(form, `${base}.load`))}
    ${folded(form, 'place', words.GROUPS.place, placeTold(draft, base, formats), [form.position(base), ...rows(PLACE_FIELDS), ...placeTrouble(form, base)])}`;
}

function link(form: StationForm, base: string): TemplateResult {
  const kind = String(valueAt(form.draft, `${base}.transport.kind`));
  const rows = (fields: readonly Field[]) => fields.map(field => fieldRow(form, base, field));
  return html`${rows([KIND_FIELD])} ${kind === 'ble' ? form.search(base) : nothing}
    ${kind === 'parts' ? parts(form, `${base}.transport.part`) : rows(TRANSPORT_FIELDS[kind] ?? [])} ${form.lettingGo(base)}`;
}

/** A place with one coordinate is complained about as a whole. */
function placeTrouble(form: Form, base: string): TemplateResult[] {
  const text = form.wrong.get(`${base}.place`);
  return text === undefined ? [] : [html`<p class="wrong">${text}</p>`];
}

const parts = (form: StationForm, list: string): TemplateResult =>
  html`<p class="ask">${partWords.PARTS_WHY}</p>
    ${entries(form, list, partWords.partTitle, partWords.ADD_PART, at => partRows(form, at))}`;

const ports = (form: StationForm, list: string): TemplateResult =>
  entries(form, list, words.portTitle, words.ADD_PORT, at => {
    const rows = (fields: readonly Field[]) => fields.map(field => fieldRow(form, at, field));
    return html`<div class="entry">${rows(PORT_FIELDS)}</div>
      ${rows(PORT_MANUAL_FIELDS)}
      ${foldedWithin(form, `lead ${at}`, words.LEAD, rows(LEAD_FIELDS))}`;
  });

const panels = (form: StationForm, list: string): TemplateResult =>
  entries(form, list, words.panelTitle, words.ADD_PANEL, at => {
    const rows = (fields: readonly Field[]) => fields.map(field => fieldRow(form, at, field));
    return html`<div class="entry">${rows(PANEL_FIELDS)}</div>
      ${foldedWithin(form, `datasheet ${at}`, words.DATASHEET, rows(DATASHEET_FIELDS))}`;
  });

const loads = (form: StationForm, list: string): TemplateResult =>
  entries(
    form,
    list,
    words.loadTitle,
    words.ADD_LOAD,
    at => html`<div class="entry">${LOAD_FIELDS.map(field => fieldRow(form, at, field))}</div>`,
  );

/** The entries of a list, each with its fields, a way to remove it, and one to add another. */
export function entries(
  form: StationForm,
  listPath: string,
  titleOf: (n: number) => string,
  add: string,
  fieldsOf: (path: string) => TemplateResult,
): TemplateResult {
  const list = (valueAt(form.draft, listPath) as unknown[] | undefined) ?? [];
  return html`${list.map((_, i) => {
    const title = titleOf(i + 1);
    return html`<fieldset>
      <legend>${title}</legend>
      ${fieldsOf(`${listPath}.${i}`)}
      <button class="word" type="button" @click=${() => form.removeEntry(listPath, i)}>${words.removeEntry(title)}</button>
    </fieldset>`;
  })}
  ${form.wrong.has(listPath) ? html`<p class="wrong">${form.wrong.get(listPath)}</p>` : nothing}
  <button type="button" @click=${() => form.addEntry(listPath)}>${add}</button>`;
}

/** The groups to open so that a complaint at `path` is seen. */
export function foldsAround(path: string): string[] {
  const [, base, list, index, rest = ''] = /^(station\.\d+)\.(solarPort|panel|load)\.(\d+)\.?(.*)$/.exec(path) ?? [];
  if (base === undefined) {
    if (/^station\.\d+\.(place|zone)/.test(path)) return ['place'];
    if (/^station\.\d+\.(solarPort|panel)$/.test(path)) return [path.endsWith('panel') ? 'panels' : 'ports'];
    if (BATTERY_FIELDS.some(field => path.endsWith(`.${field.path}`))) return ['battery'];
    return path.startsWith('tariff') ? ['tariff'] : /^(display|record)/.test(path) ? ['display'] : [];
  }
  if (list === 'load') return ['loads'];
  const at = `${base}.${list}.${index}`;
  if (list === 'solarPort') return rest.startsWith('lead') ? ['ports', `lead ${at}`] : ['ports'];
  return DATASHEET_FIELDS.some(field => field.path === rest) ? ['panels', `datasheet ${at}`] : ['panels'];
}
