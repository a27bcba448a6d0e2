/** Several of a few things, as boxes to tick. */
import { html, type TemplateResult } from 'lit';

export interface Boxes {
  readonly value: unknown;
  readonly id: string;
  readonly label: string;
  /** Ids of what describes the field. */
  readonly described: string;
  /** Takes the names, one a line. */
  change(text: string): void;
}

/** @param offered names in their order, each with its words; what is told beside them is shown too */
export function tickBoxes(
  { value, id, label, described, change }: Boxes,
  offered: readonly string[],
  wordsOf: (name: string) => string,
): TemplateResult {
  const given = Array.isArray(value) ? value.map(String) : [];
  const all = [...new Set([...offered, ...given])];
  const tick = (name: string, on: boolean): void =>
    change(
      (on ? all.filter(other => other === name || given.includes(other)) : given.filter(other => other !== name)).join(
        '\n',
      ),
    );
  return html`<div role="group" tabindex="-1" id=${id} aria-label=${label} aria-describedby=${described}>${all.map(
    name => html`<label class="tick"><input type="checkbox" .checked=${given.includes(name)}
      @change=${(event: Event) => tick(name, (event.target as HTMLInputElement).checked)}> ${wordsOf(name)}</label>`,
  )}</div>`;
}
