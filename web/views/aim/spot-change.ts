/** A named spot changed: its name, a note, or forgotten. What the agent refuses is told here, and what was typed stays. */
import { css, html, LitElement, nothing } from 'lit';
import type { SpotChange, WireSpot } from '#messages';
import type { App } from '../../state/app.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/aim-spots.ts';
import { aimApi, refusedText } from './aim-api.ts';

const MOST_NAME = 40;
const MOST_NOTE = 400;

export class SpotChangeForm extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    spot: { attribute: false },
    wrong: { state: true },
    asking: { state: true },
  };
  static override styles = [
    shared,
    css`
      form { max-width: 460px; }
      label { display: block; margin: 8px 0 4px; }
      input, textarea { min-height: 48px; }
      textarea { width: 100%; min-height: 88px; padding: 10px; border: 1.5px solid var(--ink); border-radius: 0; background: var(--paper); color: var(--ink); font: inherit; resize: vertical; }
      button { min-height: 48px; }
      p { margin: 8px 0; }
      .row { margin: 12px 0; }
    `,
  ];

  declare app: App;
  declare station: string;
  declare spot: WireSpot;
  declare wrong: string | null;
  /** Asking once more before it is forgotten. */
  declare asking: boolean;
  /** A change is on its way; the button stays as it is, so that it keeps the focus. */
  private busy = false;

  constructor() {
    super();
    this.wrong = null;
    this.asking = false;
  }

  protected override render() {
    const { name, note } = this.spot;
    return html`<form @submit=${(event: Event) => void this.keep(event)}>
      <label for="name">${words.NAME}</label>
      <input id="name" autocomplete="off" enterkeyhint="done" maxlength=${MOST_NAME} .defaultValue=${name}>
      <label for="note">${words.NOTE}</label>
      <textarea id="note" rows="3" maxlength=${MOST_NOTE} .defaultValue=${note}></textarea>
      ${this.wrong === null ? nothing : html`<p class="wrong" role="alert">${this.wrong}</p>`}
      <div class="row"><button type="submit">${words.KEEP}</button>
        ${this.asking ? nothing : html`<button type="button" @click=${() => this.ask(true)}>${words.REMOVE}</button>`}</div>
      ${this.asking ? this.asked(name) : nothing}
    </form>`;
  }

  private asked(name: string) {
    return html`<p>${words.removeSure(name)}</p>
      <div class="row"><button type="button" @click=${() => void this.send({ do: 'remove', spot: this.spot.id })}>${words.REMOVE_YES}</button>
        <button type="button" @click=${() => this.ask(false)}>${words.CANCEL}</button></div>`;
  }

  private ask(asking: boolean): void {
    this.asking = asking;
    if (asking) void this.updateComplete.then(() => this.renderRoot.querySelectorAll('button')[1]?.focus());
  }

  private async keep(event: Event): Promise<void> {
    event.preventDefault();
    const name = (this.renderRoot.querySelector('#name') as HTMLInputElement).value.trim();
    const note = (this.renderRoot.querySelector('#note') as HTMLTextAreaElement).value.trim();
    if (name === '' || name.length > MOST_NAME) {
      this.wrong = words.NAME_WRONG;
      return;
    }
    if (note.length > MOST_NOTE) {
      this.wrong = words.NOTE_WRONG;
      return;
    }
    await this.send({
      do: 'change',
      spot: this.spot.id,
      ...(name === this.spot.name ? {} : { name }),
      ...(note === this.spot.note ? {} : { note }),
    });
  }

  private async send(what: SpotChange): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    const answer = await aimApi(this.app.api, this.station).changeSpot(what);
    this.busy = false;
    this.asking = false;
    this.wrong = answer.ok ? null : refusedText(answer.refusal);
    if (answer.ok) this.dispatchEvent(new CustomEvent('changed', { bubbles: true, composed: true }));
  }
}

customElements.define('spot-change', SpotChangeForm);
