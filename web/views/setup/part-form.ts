/** The parts of a station that is put together from several sources: each with its link, its adapter and what it gives. */
import { html, type TemplateResult } from 'lit';
import { valueAt } from './draft.ts';
import { type Form, fieldRow } from './field-row.ts';
import { type Field, KIND_FIELD, TRANSPORT_FIELDS } from './fields.ts';

/** A part is read like a station, except that it has no parts. */
export const PART_KIND: Field = { ...KIND_FIELD, choices: KIND_FIELD.choices!.filter(kind => kind !== 'parts') };

/** Fields of a part, by how it is read. */
export const partFields = (kind: string): readonly Field[] => [
  { path: 'name', words: 'part.name', kind: 'text' },
  PART_KIND,
  ...(TRANSPORT_FIELDS[kind] ?? []),
  { path: 'gives', words: 'part.gives', kind: 'gives' },
];

export const partRows = (form: Form, at: string): TemplateResult =>
  html`${partFields(String(valueAt(form.draft, `${at}.transport.kind`))).map(field => fieldRow(form, at, field))}`;
