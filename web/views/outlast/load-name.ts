/** Gives a load its name: one tap on a usual one, or typed; and whether it must stay on. */
import { css, html, LitElement, nothing } from 'lit';
import type { LoadSettings, WireLoad } from '#messages';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/outlast.ts';

const LONGEST = 60;

/** What the owner decided; null forgets the name. */
export type Named = CustomEvent<LoadSettings | null>;

export class LoadName extends LitElement {
  static override properties = { load: { attribute: false }, watts: { attribute: false }, wrong: { state: true } };
  static override styles = [
    shared,
    css`
      :host { display: block; margin: 8px 0; font-weight: var(--text-weight); }
      .row { gap: 8px; margin: 8px 0; }
      input[type="text"] { max-width: 260px; }
      label { display: flex; align-items: center; gap: 8px; min-height: 44px; }
      button { padding: 6px 12px; }
    `,
  ];

  declare load: WireLoad;
  /** What it draws, as text. */
  declare watts: string;
  declare wrong: string;

  constructor() {
    super();
    this.wrong = '';
  }

  protected override firstUpdated(): void {
    this.field('name').focus();
  }

  protected override render() {
    return html`<form @submit=${(event: Event) => this.keep(event)}>
      <div class="row">${words.QUICK_NAMES.map(
        name => html`<button type="button" @click=${() => this.tell(name)}>${name}</button>`,
      )}</div>
      <input type="text" id="name" autocomplete="off" maxlength=${LONGEST} aria-label=${words.nameLabel(this.watts)}
        .value=${this.load.name ?? ''} aria-describedby=${this.wrong === '' ? nothing : 'wrong'}>
      ${this.wrong === '' ? nothing : html`<p class="wrong" id="wrong">${this.wrong}</p>`}
      <label><input type="checkbox" id="stay" .checked=${this.load.mustStayOn}> ${words.MUST_STAY_ON}</label>
      <div class="row"><button type="submit">${words.KEEP}</button>
        ${this.load.name === null ? nothing : html`<button type="button" @click=${() => this.send(null)}>${words.FORGET}</button>`}
        <button type="button" @click=${() => this.dispatchEvent(new CustomEvent('cancelled'))}>${words.CANCEL}</button></div>
    </form>`;
  }

  private field(id: string): HTMLInputElement {
    return this.renderRoot.querySelector(`#${id}`) as HTMLInputElement;
  }

  private keep(event: Event): void {
    event.preventDefault();
    this.tell(this.field('name').value);
  }

  private tell(text: string): void {
    const name = text.trim();
    this.wrong = name === '' || name.length > LONGEST ? words.NAME_WRONG : '';
    if (this.wrong !== '') return;
    this.send({ name, powerW: Math.round(this.load.powerW * 10) / 10, mustStayOn: this.field('stay').checked });
  }

  private send(detail: LoadSettings | null): void {
    this.dispatchEvent(new CustomEvent('named', { detail }));
  }
}

customElements.define('load-name', LoadName);
