/**
 * The marks of this walk, best first: a bar with its range, watts as of now, and why one is not ranked. A row opens to
 * name the spot, note something, or say that the panels are back there.
 */
import { css, html, LitElement, nothing, svg } from 'lit';
import type { MarkChange, WireMark } from '#messages';
import { asText, type Formats, formatsFor, type Times } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { may } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/aim.ts';
import { aimApi, refusedText } from './aim-api.ts';
import { barsOf } from './bars.ts';
import { giveOrTake } from './figure-text.ts';
import { newest } from './verdict.ts';

const LONGEST_NAME = 40;
const LONGEST_NOTE = 400;

export class AimMarks extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    marks: { attribute: false },
    names: { attribute: false },
    times: { attribute: false },
    open: { state: true },
    wrong: { state: true },
  };
  static override styles = [
    shared,
    css`
      ol { margin: 0; padding: 0; list-style: none; }
      .row { display: grid; grid-template-columns: 28px 1fr minmax(72px, max-content); gap: 12px; align-items: center; width: 100%; min-height: 48px; padding: 0; border: 0; text-align: left; font-size: 19px; }
      .named .row { grid-template-columns: min(30vw, 130px) 1fr minmax(72px, max-content); }
      .letter { overflow-wrap: anywhere; line-height: 1.15; }
      /* Of readings that are old by now. */
      :host([gone]) .row { color: var(--soft); }
      :host([gone]) .track { opacity: 0.5; }
      .watts { text-align: right; white-space: nowrap; }
      li:first-child .watts { font-weight: var(--strong-weight); }
      .track { width: 100%; overflow: visible; }
      .hair { stroke: var(--hair); stroke-width: 1px; }
      .track rect { fill: var(--bar); }
      .range { stroke: var(--ink); stroke-width: 4px; }
      .end { stroke: var(--ink); stroke-width: 2px; }
      .why { grid-column: 2 / -1; color: var(--soft); font-size: 16px; }
      form, .told { padding: 4px 0 16px; }
      .told { margin: 0; color: var(--soft); font-size: 16px; padding-bottom: 4px; }
      label { display: block; margin: 8px 0 4px; }
      input { min-height: 48px; max-width: 420px; }
      .acts { display: flex; flex-wrap: wrap; gap: 12px; margin-top: 12px; }
      .acts button { min-height: 48px; }
      .small { margin: 4px 0 0; color: var(--soft); font-size: 16px; }
      form > p:not(.wrong) { margin: 4px 0 0; color: var(--soft); font-size: 16px; }
    `,
  ];

  declare app: App;
  declare station: string;
  declare marks: readonly WireMark[];
  /** Of the known spots. */
  declare names: readonly string[];
  declare times: Times;
  declare open: number | null;
  declare wrong: { at: number | 'all'; text: string } | null;

  constructor() {
    super();
    this.marks = [];
    this.names = [];
    this.open = null;
    this.wrong = null;
  }

  protected override render() {
    if (this.marks.length === 0) return nothing;
    const formats = formatsFor(this.app.locale, 'C');
    const bars = barsOf(this.marks);
    return html`<h2 class="unseen">${words.MARKS}</h2>
      <ol class=${this.marks.some(({ name }) => name !== null) ? 'named' : ''}>${this.marks.map((mark, i) => html`<li>${this.row(mark, bars[i] ?? null, formats)}${this.open === mark.id ? this.form(mark, formats) : nothing}</li>`)}</ol>
      ${this.acts()}`;
  }

  private row(mark: WireMark, bar: ReturnType<typeof barsOf>[number], formats: Formats) {
    const name = `${mark.letter}${mark.name === null ? '' : ` ${mark.name}`}`;
    const watts = asText(formats.power(mark.now?.meanW ?? null));
    const range = mark.now === null ? '' : words.rangeOf(giveOrTake(mark.now.giveOrTakeW, formats));
    const cells =
      bar === null || mark.why !== 'ok'
        ? html`<span class="why">${words.NOT_RANKED}: ${mark.why === 'ok' ? words.WHY_NOT.old : words.WHY_NOT[mark.why]}</span>`
        : html`<svg class="track" aria-hidden="true" height="20"><line class="hair" x1="0" x2="100%" y1="10.5" y2="10.5"></line>
              <rect x="0" y="6" width="${bar.barPct}%" height="9"></rect><line class="range" x1="${bar.lowPct}%" x2="${bar.highPct}%" y1="10.5" y2="10.5"></line>
              ${[bar.lowPct, bar.highPct].map(end => svg`<line class="end" x1="${end}%" x2="${end}%" y1="2" y2="19"></line>`)}</svg>
            <span class="watts">${watts}<span class="unseen">, ${range}</span></span>`;
    return html`<button type="button" class="row" aria-expanded=${this.open === mark.id ? 'true' : 'false'}
      @click=${() => this.toggle(mark.id)}><span class="letter">${name}</span>${cells}</button>`;
  }

  private toggle(id: number): void {
    this.open = this.open === id ? null : id;
    this.wrong = null;
  }

  private form(mark: WireMark, formats: Formats) {
    const watts = (value: number) => asText(formats.power(value));
    const { measured } = mark;
    const wrong = this.wrong?.at === mark.id ? this.wrong.text : '';
    const told = words.measured(
      watts(measured.meanW),
      giveOrTake(measured.giveOrTakeW, formats),
      this.times.time(Date.parse(mark.at)),
    );
    return html`<p class="told">${told}${mark.again === undefined ? '' : ` ${words.sameAs(mark.again)}`}
        ${mark.note === '' ? nothing : html`<br>${mark.note}`}</p>
      ${
        may(this.app.live.value, 'mark')
          ? html`<form @submit=${(event: Event) => void this.keep(event, mark)}>
        <label for="name">${words.NAME}</label>
        <input id="name" autocomplete="off" enterkeyhint="done" maxlength=${LONGEST_NAME} list="names" .value=${mark.name ?? ''} aria-describedby="why">
        <datalist id="names">${this.names.map(name => html`<option value=${name}></option>`)}</datalist>
        <p id="why">${words.NAME_WHY}</p>
        <label for="note">${words.NOTE}</label>
        <input id="note" autocomplete="off" enterkeyhint="done" maxlength=${LONGEST_NOTE} .value=${mark.note}>
        ${wrong === '' ? nothing : html`<p class="wrong" role="alert">${wrong}</p>`}
        <div class="acts"><button type="submit">${words.KEEP}</button>
          <button type="button" @click=${() => this.toggle(mark.id)}>${words.CANCEL}</button>
          <button type="button" @click=${() => this.dispatchEvent(new CustomEvent('again', { detail: mark }))}>${words.BACK_HERE(mark.letter)}</button></div>
      </form>`
          : nothing
      }`;
  }

  private acts() {
    if (!may(this.app.live.value, 'mark')) return nothing;
    const last = newest(this.marks);
    return html`<div class="acts"><button type="button" @click=${() => void this.change({ do: 'undo' }, 'all')}>${words.takeBack(last.letter)}</button>
        <button type="button" aria-describedby="walk" @click=${() => void this.change({ do: 'walk' }, 'all')}>${words.NEW_WALK}</button></div>
      <p class="small" id="walk">${words.NEW_WALK_WHY}</p>
      ${this.wrong?.at === 'all' ? html`<p class="wrong" role="alert">${this.wrong.text}</p>` : nothing}`;
  }

  private text(id: string): string {
    return (this.renderRoot.querySelector(`#${id}`) as HTMLInputElement).value.trim();
  }

  /** Both are kept before the row closes; what is refused stays as typed. */
  private async keep(event: Event, mark: WireMark): Promise<void> {
    event.preventDefault();
    const [name, note] = [this.text('name'), this.text('note')];
    if (name.length > LONGEST_NAME || (name === '' && mark.name !== null)) {
      this.wrong = { at: mark.id, text: words.NAME_WRONG };
      return;
    }
    if (name !== (mark.name ?? '') && !(await this.change({ do: 'name', mark: mark.id, name }, mark.id))) return;
    if (note !== mark.note && !(await this.change({ do: 'note', mark: mark.id, note }, mark.id))) return;
    this.open = null;
  }

  private async change(what: MarkChange, at: number | 'all'): Promise<boolean> {
    const answer = await aimApi(this.app.api, this.station).changeMark(what);
    this.wrong = answer.ok ? null : { at, text: refusedText(answer.refusal) };
    if (answer.ok) this.dispatchEvent(new CustomEvent('changed'));
    return answer.ok;
  }
}

customElements.define('aim-marks', AimMarks);
