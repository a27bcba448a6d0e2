/** Several ports, of one station or more: which panels go into which. One string into each is often the answer. */
import { html, nothing, type TemplateResult } from 'lit';
import type { Allocation, Units, Way } from '#energy/wiring/index';
import * as words from '../../words/wiring.ts';
import type { Together } from './all-stations.ts';
import type { Wiring } from './model.ts';
import { wayName } from './telling.ts';

const SHOWN = 3;

/** @param draw shows one port's part in the drawing */
export function allTogether(
  { together, everywhere }: Wiring,
  units: Units,
  draw: (portIndex: number, way: Way) => void,
): TemplateResult {
  return html`${together === null ? nothing : section(words.TOGETHER, together, units, draw)}
    ${everywhere === null ? nothing : section(words.allStations(everywhere.stations), everywhere, units, null)}`;
}

function section(
  title: string,
  found: Together,
  units: Units,
  draw: ((portIndex: number, way: Way) => void) | null,
): TemplateResult {
  const { allocations, complete, kinds, stations, weather } = found;
  const panels = kinds.reduce((sum, { count }) => sum + count, 0);
  const cold = weather.coldestC === null ? null : units.tempC(weather.coldestC);
  return html`<section class="together"><h2>${title}</h2>
    ${stations === 1 ? nothing : html`<p class="ask">${words.oneLot(panels, cold)}</p>`}
    ${complete ? nothing : html`<p class="ask">${words.SOME_TRIED}</p>`}
    ${
      allocations.length === 0
        ? html`<p>${words.NOT_TOGETHER}</p>`
        : html`<ol>${allocations.slice(0, SHOWN).map(one => line(one, found, units, draw))}</ol>`
    }</section>`;
}

function line(
  { parts, verdict, deliverableW, panelsLeftOver }: Allocation,
  { ports, kinds }: Together,
  units: Units,
  draw: ((portIndex: number, way: Way) => void) | null,
): TemplateResult {
  const each = parts.map((part, i) => {
    const { station, name } = ports[i]!;
    const what = part === null ? words.EMPTY : wayName(part, kinds);
    const drawn =
      part === null || draw === null
        ? what
        : html`<button type="button" class="word" @click=${() => draw(i, part.strings)}>${what}</button>`;
    return html`${i === 0 ? '' : '; '}${words.stationPort(station, name)}: ${drawn}`;
  });
  const left = panelsLeftOver === 0 ? '' : ` · ${words.leftOver(panelsLeftOver)}`;
  return html`<li>${each} · <b>${verdict}</b> · ${units.watts(deliverableW)}${left}</li>`;
}
