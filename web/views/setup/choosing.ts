/** Which station is edited, adding one, and removing one after a question. */
import { html, nothing, type TemplateResult } from 'lit';
import * as words from '../../words/setup.ts';

export interface Choosing {
  names: readonly string[];
  editing: number;
  edit(index: number): void;
  add(): void;
}

export const chooser = ({ names, editing, edit, add }: Choosing): TemplateResult =>
  html`<div class="row chooser">
    ${
      names.length < 2
        ? nothing
        : html`<label>${words.WHICH_TO_EDIT} <select @change=${(event: Event) => edit(Number((event.target as HTMLSelectElement).value))}>
            ${names.map((name, i) => html`<option value=${i} ?selected=${i === editing}>${name}</option>`)}
          </select></label>`
    }
    <button type="button" @click=${add}>${words.ADD_STATION}</button>
  </div>`;

/** @param asked whether the question is being asked */
export function remover(name: string, asked: boolean, ask: (asked: boolean) => void, remove: () => void) {
  if (!asked)
    return html`<p class="remover"><button class="word" type="button" @click=${() => ask(true)}>${words.REMOVE_STATION}</button></p>`;
  return html`<div class="row remover" role="group" aria-label=${words.REMOVE_STATION}><span>${words.removeAsk(name)}</span>
    <button type="button" @click=${remove}>${words.REMOVE_YES}</button>
    <button type="button" @click=${() => ask(false)}>${words.REMOVE_NO}</button></div>`;
}
