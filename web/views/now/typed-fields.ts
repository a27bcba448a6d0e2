/** Which numbers the owner types of a station, and the form for them. */
import { html, nothing } from 'lit';
import type { App } from '../../state/app.ts';
import * as words from '../../words.ts';
import { typedQuantities } from './parts-told.ts';
import type { Situation } from './situation.ts';

export type TypedField = keyof typeof words.TYPED_FIELDS;
export const ALL_TYPED = Object.keys(words.TYPED_FIELDS) as TypedField[];

/** Nothing where all that the station tells comes over a link. */
export function typedForm(app: App, s: Situation) {
  const typed = typedQuantities(s);
  if (typed === null) return nothing;
  const fields = typed === 'all' ? ALL_TYPED : ALL_TYPED.filter(field => typed.includes(field));
  return fields.length === 0
    ? nothing
    : html`<typed-form .app=${app} .station=${s.live!.station} .fields=${fields}></typed-form>`;
}
