/** One number to try or to type: its label, its input, why it is asked, and beside it what is wrong with it. */
import { html, nothing, type TemplateResult } from 'lit';

export interface NumberField {
  id: string;
  label: string;
  /** As it was typed. */
  text: string;
  /** '' where nothing is wrong. */
  wrong: string;
  why?: string;
  take(text: string): void;
}

export function numberField({ id, label, text, wrong, why = '', take }: NumberField): TemplateResult {
  const described = [wrong === '' ? '' : `${id}-wrong`, why === '' ? '' : `${id}-why`].join(' ').trim();
  return html`<div class="number">
    <label for=${id}>${label}</label>
    <input id=${id} inputmode="text" autocomplete="off" .value=${text} aria-invalid=${wrong === '' ? 'false' : 'true'}
      aria-describedby=${described === '' ? nothing : described}
      @input=${(event: Event) => take((event.target as HTMLInputElement).value)}>
    ${wrong === '' ? nothing : html`<p class="wrong" id="${id}-wrong">${wrong}</p>`}
    ${why === '' ? nothing : html`<p class="ask" id="${id}-why">${why}</p>`}
  </div>`;
}
