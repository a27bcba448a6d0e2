/** Groups of the form: one that stands open, and one that opens on demand and says what it holds while closed. */
import { html, type TemplateResult } from 'lit';

export type Rows = TemplateResult | readonly TemplateResult[];

/** Which groups the owner opened. */
export interface Folds {
  isOpen(name: string): boolean;
  toggle(name: string, open: boolean): void;
}

export const group = (title: string, rows: Rows): TemplateResult => html`<section><h2>${title}</h2>${rows}</section>`;

/** @param told what the group holds, in a few words */
export const folded = (folds: Folds, name: string, title: string, told: string, rows: Rows): TemplateResult =>
  html`<section><details class="group" id="group-${name}" .open=${folds.isOpen(name)} @toggle=${toggled(folds, name)}>
    <summary><h2>${title}</h2> <span class="told">${told}</span></summary>
    ${rows}
  </details></section>`;

/** A few fields within an entry, closed until wanted. */
export const foldedWithin = (folds: Folds, name: string, title: string, rows: Rows): TemplateResult =>
  html`<details class="within" .open=${folds.isOpen(name)} @toggle=${toggled(folds, name)}>
    <summary>${title}</summary>
    <div class="entry">${rows}</div>
  </details>`;

const toggled = (folds: Folds, name: string) => (event: Event) => {
  const details = event.currentTarget as HTMLDetailsElement;
  if (event.target === details) folds.toggle(name, details.open);
};
