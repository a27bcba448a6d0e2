/** The form for what the owner types of a station. */
import { html, nothing } from 'lit';
import type { App } from '../../state/app.ts';
import { need } from './at-need.ts';
import type { Situation } from './situation.ts';
import { ALL_TYPED } from './typed-fields.ts';

/** What the owner types of a station: all of it, or what its typed parts are there for. */
function typedQuantities(s: Situation): readonly string[] | 'all' | null {
  if (s.live === null) return null;
  if (s.live.station.transport === 'typed') return 'all';
  const typed = s.live.status?.parts?.filter(({ phase }) => phase === 'typed').flatMap(({ gives }) => gives) ?? [];
  return typed.length === 0 ? null : typed;
}

/** Nothing where all that the station tells comes over a link. */
export function typedForm(app: App, s: Situation) {
  const typed = typedQuantities(s);
  if (typed === null) return nothing;
  const fields = typed === 'all' ? ALL_TYPED : ALL_TYPED.filter(field => typed.includes(field));
  if (fields.length === 0) return nothing;
  need('typed-form');
  return html`<typed-form .app=${app} .station=${s.live!.station} .fields=${fields}></typed-form>`;
}
