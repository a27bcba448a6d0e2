/** The form for what the owner types of a station. */
import { html, nothing } from 'lit';
import type { App } from '../../state/app.ts';
import { need } from './at-need.ts';
import { typedQuantities } from './parts-told.ts';
import type { Situation } from './situation.ts';
import { ALL_TYPED } from './typed-fields.ts';

/** Nothing where all that the station tells comes over a link. */
export function typedForm(app: App, s: Situation) {
  const typed = typedQuantities(s);
  if (typed === null) return nothing;
  const fields = typed === 'all' ? ALL_TYPED : ALL_TYPED.filter(field => typed.includes(field));
  if (fields.length === 0) return nothing;
  need('typed-form');
  return html`<typed-form .app=${app} .station=${s.live!.station} .fields=${fields}></typed-form>`;
}
