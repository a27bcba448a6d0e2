/** Every way of wiring with its verdict; a row's name draws it. The first ones at once, the rest on demand. */
import { html, nothing, type TemplateResult } from 'lit';
import type { Arrangement, Units } from '#energy/wiring/index';
import * as words from '../../words/wiring.ts';
import { keyOf, type Wiring } from './model.ts';
import { figuresOf, reasonsOf, wayName } from './telling.ts';

/** Rows shown at once. */
const FIRST = 6;

export function waysTable(wiring: Wiring, units: Units, draw: (arrangement: Arrangement) => void): TemplateResult {
  const rows = wiring.arrangements.map(arrangement => row(arrangement, wiring, units, draw));
  const rest = rows.slice(FIRST);
  return html`${table(rows.slice(0, FIRST))}
    ${rest.length === 0 ? nothing : html`<details><summary>${words.otherWays(rest.length)}</summary>${table(rest)}</details>`}`;
}

const table = (rows: readonly TemplateResult[]): TemplateResult =>
  html`<table class="ways"><thead><tr><th scope="col">${words.ALL_WAYS}</th><th scope="col">${words.VERDICT}</th></tr></thead>
    <tbody>${rows}</tbody></table>`;

function row(arrangement: Arrangement, wiring: Wiring, units: Units, draw: (arrangement: Arrangement) => void) {
  const chosen = keyOf(arrangement.strings) === keyOf(wiring.chosen.strings);
  const figures = figuresOf(arrangement, units);
  return html`<tr class=${chosen ? 'chosen' : ''}>
    <th scope="row"><button type="button" class="word" aria-pressed=${chosen ? 'true' : 'false'}
      @click=${() => draw(arrangement)}>${words.capital(wayName(arrangement, wiring.kinds))}</button></th>
    <td><b>${arrangement.verdict}</b>${figures === '' ? '' : ` · ${figures}`}
      ${reasonsOf(arrangement, units).map(reason => html`<span class="reason">${reason}</span>`)}</td>
  </tr>`;
}
