/** Several ports: which panels go into which, the best few choices. One string into each port is often the answer. */
import { html, nothing } from 'lit';
import type { Allocation, Units } from '#energy/wiring/index';
import * as words from '../../words/wiring.ts';
import type { Wiring } from './model.ts';
import { wayName } from './telling.ts';

const SHOWN = 3;

export function allTogether({ together, ports, kinds }: Wiring, units: Units) {
  if (together === null) return nothing;
  const line = ({ parts, verdict, deliverableW }: Allocation) => {
    const each = parts.map((part, i) => words.portPart(ports[i]!.name, part === null ? null : wayName(part, kinds)));
    return html`<li>${each.join('; ')} · <b>${verdict}</b> · ${units.watts(deliverableW)}</li>`;
  };
  return html`<section><h2>${words.TOGETHER}</h2>
    ${together.complete ? nothing : html`<p class="ask">${words.SOME_TRIED}</p>`}
    ${
      together.allocations.length === 0
        ? html`<p>${words.NOT_TOGETHER}</p>`
        : html`<ol>${together.allocations.slice(0, SHOWN).map(line)}</ol>`
    }</section>`;
}
