/** The owner's notes of a day: read, written to the day or a moment of it, put in other words, removed. */
import { css, html, LitElement, nothing } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import type { NoteChange, WireNote } from '#messages';
import type { Times } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { may } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/ledger-day.ts';
import { dayApi, refusedText } from './day-api.ts';
import { numbersOf } from './day-picture.ts';
import { civilText, instantOf } from './instant-field.ts';

const LONGEST = 400;

export class DayNotes extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    date: { attribute: false },
    notes: { attribute: false },
    times: { attribute: false },
    open: { state: true },
    removing: { state: true },
    wrong: { state: true },
  };
  static override styles = [
    shared,
    css`
      :host { max-width: 860px; }
      ol { margin: 0; padding: 0; list-style: none; }
      li { display: grid; grid-template-columns: minmax(76px, max-content) 1fr max-content; gap: 4px 16px; align-items: baseline; padding: 8px 0; border-bottom: var(--hair-width) solid var(--hair); }
      li form { grid-column: 1 / -1; }
      .when { color: var(--soft); white-space: nowrap; }
      .number { display: inline-block; min-width: 20px; margin-right: 8px; padding: 0 5px; border: 1px solid var(--ink); color: var(--ink); font-weight: var(--strong-weight); font-size: 14px; text-align: center; }
      .text { white-space: pre-line; overflow-wrap: anywhere; }
      p { margin: 4px 0; color: var(--soft); }
      form { max-width: 640px; padding: 4px 0 12px; }
      label { display: block; margin: 8px 0 4px; }
      textarea { width: 100%; min-height: 72px; padding: 8px 10px; border: 1.5px solid var(--ink); border-radius: 0; background: var(--paper); color: var(--ink); font: inherit; }
      input { max-width: 160px; }
      .acts { display: flex; flex-wrap: wrap; gap: 12px; margin-top: 12px; }
      .add { margin-top: 12px; }
    `,
  ];

  declare app: App;
  declare station: string;
  declare date: string;
  declare notes: readonly WireNote[];
  declare times: Times;
  /** Which note's form stands open; `new` for another one. */
  declare open: number | 'new' | null;
  declare removing: boolean;
  declare wrong: string;

  constructor() {
    super();
    this.notes = [];
    this.open = null;
    this.removing = false;
    this.wrong = '';
  }

  protected override render() {
    const numbers = numbersOf(this.notes);
    const allowed = may(this.app.live.value, 'mark');
    return html`<h2>${words.NOTES}</h2>
      ${
        this.notes.length === 0
          ? html`<p>${words.NO_NOTES}</p>`
          : html`<ol>${repeat(
              this.notes,
              note => note.id,
              note => this.item(note, numbers.get(note.id) ?? null, allowed),
            )}</ol>`
      }
      ${!allowed ? nothing : this.open === 'new' ? this.form(null) : html`<button class="add" type="button" @click=${() => this.begin('new')}>${words.NOTE_ADD}</button>`}`;
  }

  private item(note: WireNote, number: string | null, allowed: boolean) {
    const time = note.at === null ? words.WHOLE_DAY : this.times.time(Date.parse(note.at));
    return html`<li><span class="when">${number === null ? nothing : html`<span class="number">${number}</span>`}${time}</span>
      <span class="text">${note.text}</span>
      ${allowed ? html`<button class="word" type="button" aria-label=${words.noteChangeLabel(note.text.slice(0, 40))} aria-expanded=${this.open === note.id ? 'true' : 'false'} @click=${() => this.begin(note.id)}>${words.NOTE_CHANGE}</button>` : html`<span></span>`}
      ${this.open === note.id ? this.form(note) : nothing}</li>`;
  }

  private form(note: WireNote | null) {
    const time = note === null || note.at === null ? '' : civilText(Date.parse(note.at), this.times.zone).slice(11);
    return html`<form novalidate @submit=${(event: Event) => void this.save(event, note)}>
      <label for="text">${words.NOTE_WHAT}</label>
      <textarea id="text" maxlength=${LONGEST} .value=${note?.text ?? ''} aria-invalid=${this.wrong === '' ? 'false' : 'true'} aria-describedby="wrong"></textarea>
      <label for="time">${words.NOTE_TIME}</label>
      <input id="time" type="time" .value=${time}>
      <div id="wrong">${this.wrong === '' ? nothing : html`<p class="wrong" role="alert">${this.wrong}</p>`}</div>
      <div class="acts"><button type="submit">${words.NOTE_SAVE}</button>
        ${note === null ? nothing : this.remover(note)}
        <button type="button" @click=${() => this.begin(null)}>${words.CANCEL}</button></div>
    </form>`;
  }

  /** A second tap, since the words go for good. */
  private remover(note: WireNote) {
    if (!this.removing)
      return html`<button type="button" @click=${() => {
        this.removing = true;
      }}>${words.NOTE_REMOVE}</button>`;
    return html`<button type="button" @click=${() => void this.tell({ do: 'remove', note: note.id })}>${words.NOTE_REMOVE_SURE}</button>`;
  }

  private begin(what: number | 'new' | null): void {
    this.open = this.open === what ? null : what;
    this.removing = false;
    this.wrong = '';
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('#text, .add')?.focus());
  }

  private async save(event: Event, note: WireNote | null): Promise<void> {
    event.preventDefault();
    const value = (id: string) => (this.renderRoot.querySelector(`#${id}`) as HTMLInputElement).value.trim();
    const [text, time] = [value('text'), value('time')];
    const at = time === '' ? null : instantOf(`${this.date}T${time}`, this.times.zone);
    if (text === '') this.wrong = words.NOTE_EMPTY;
    else if (time !== '' && at === null) this.wrong = words.NOTE_TIME_WRONG;
    else if (note === null) await this.tell({ do: 'write', date: this.date, text, ...(at === null ? {} : { at }) });
    else await this.tell({ do: 'change', note: note.id, text, at });
  }

  private async tell(change: NoteChange): Promise<void> {
    const answer = await dayApi(this.app.api, this.station).note(change);
    this.wrong = answer.ok ? '' : refusedText(answer.refusal);
    if (!answer.ok) return;
    this.begin(null);
    this.dispatchEvent(new CustomEvent('changed'));
  }
}

customElements.define('day-notes', DayNotes);
