/** What a part of a station gives, as boxes to tick: the names of quantities behind the words of the screen. */
import { html, type TemplateResult } from 'lit';
import { type QuantityName, quantityRow } from '#kit/quantities';

/** What is offered; others that the settings file names are shown beside them. */
const OFFERED: readonly QuantityName[] = [
  'solarPowerW',
  'chargerPowerW',
  'inputPowerW',
  'outputPowerW',
  'stateOfChargePct',
  'batteryVoltageV',
  'batteryCurrentA',
];

export interface Boxes {
  readonly value: unknown;
  readonly id: string;
  readonly label: string;
  /** Ids of what describes the field. */
  readonly described: string;
  /** Takes the names, one a line. */
  change(text: string): void;
}

export function givesBoxes({ value, id, label, described, change }: Boxes): TemplateResult {
  const given = Array.isArray(value) ? value.map(String) : [];
  const tick = (name: string, on: boolean): void =>
    change((on ? [...given, name] : given.filter(other => other !== name)).join('\n'));
  return html`<div role="group" id=${id} aria-label=${label} aria-describedby=${described}>${[
    ...new Set([...OFFERED, ...given]),
  ].map(
    name => html`<label class="tick"><input type="checkbox" .checked=${given.includes(name)}
      @change=${(event: Event) => tick(name, (event.target as HTMLInputElement).checked)}> ${quantityRow(name)?.label ?? name}</label>`,
  )}</div>`;
}
