/** One planned load as a form: begun with what was seen or is common, or typed; kept, taken off, or left as it was. */
import { css, html, LitElement, nothing } from 'lit';
import { COMMON_LOADS, type CommonLoad } from '#energy/estimates/plan/common-loads';
import type { PlanAnswer, PlannedLoadSettings } from '#messages';
import { asText, type Formats } from '../../../format.ts';
import { shared } from '../../../styles/shared.ts';
import * as words from '../../../words/plan.ts';
import {
  commonDraft,
  draftOf,
  EMPTY_DRAFT,
  type LoadDraft,
  type LoadWrong,
  loadOf,
  NUMBERS,
  type NumberName,
  seenDraft,
} from './load-draft.ts';

/** What the owner decided; null takes it off the list. */
export type LoadKept = CustomEvent<PlannedLoadSettings | null>;

export class LoadForm extends LitElement {
  static override properties = {
    load: { attribute: false },
    seen: { attribute: false },
    formats: { attribute: false },
    draft: { state: true },
    wrong: { state: true },
    from: { state: true },
  };
  static override styles = [
    shared,
    css`
      :host { display: block; margin: 8px 0 16px; font-weight: var(--text-weight); text-align: left; white-space: normal; color: var(--ink); }
      .fields { display: grid; grid-template-columns: repeat(auto-fit, minmax(150px, 1fr)); align-items: start; gap: 12px 16px; margin: 8px 0; }
      .wide { grid-column: 1 / -1; max-width: 420px; }
      label { display: block; padding-bottom: 4px; font-size: 15px; }
      label.tick { display: flex; align-items: center; gap: 10px; min-height: 44px; font-size: inherit; }
      .row { margin-top: 12px; gap: 8px; }
      .fields div:not(.wide) label { display: flex; align-items: flex-end; min-height: 44px; line-height: 20px; }
      p { margin: 4px 0 0; font-size: 15px; line-height: 21px; }
      .ask { color: var(--soft); }
    `,
  ];

  /** null: a new one. */
  declare load: PlannedLoadSettings | null;
  declare seen: PlanAnswer['seen'];
  declare formats: Formats;
  declare draft: LoadDraft;
  declare wrong: LoadWrong;
  /** The common load it was begun with. */
  declare from: CommonLoad | null;

  constructor() {
    super();
    this.load = null;
    this.seen = [];
    this.draft = EMPTY_DRAFT;
    this.wrong = {};
    this.from = null;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    if (this.load !== null) this.draft = draftOf(this.load);
  }

  protected override firstUpdated(): void {
    (this.renderRoot.querySelector('select, input') as HTMLElement).focus();
  }

  protected override render() {
    return html`<form novalidate @submit=${(event: Event) => this.keep(event)}>
      ${this.load === null ? this.beginning() : nothing}
      <div class="fields">
        <div class="wide"><label for="name">${words.FIELDS.name}</label>${this.input('name', this.draft.name, 'text')}</div>
        ${NUMBERS.map(field => html`<div><label for=${field}>${words.FIELDS[field]}</label>${this.input(field, this.draft.texts[field], 'decimal')}</div>`)}
      </div>
      ${this.from === null ? nothing : html`<p class="ask">${sourceOf(this.from, this.formats)} ${words.SOURCE_HOURS}</p>`}
      <label class="tick"><input type="checkbox" .checked=${this.draft.mustStayOn} @change=${(event: Event) => {
        this.draft = { ...this.draft, mustStayOn: (event.target as HTMLInputElement).checked };
      }}> ${words.MUST_STAY_ON}</label>
      <div class="row"><button type="submit">${words.KEEP}</button>
        ${this.load === null ? nothing : html`<button type="button" @click=${() => this.send(null)}>${words.REMOVE}</button>`}
        <button type="button" @click=${() => this.dispatchEvent(new CustomEvent('cancelled'))}>${words.CANCEL}</button></div>
    </form>`;
  }

  private beginning() {
    const unnamed = (powerW: number) => words.unnamed(asText(this.formats.power(powerW)));
    return html`<div class="wide"><label for="from">${words.ADD_FROM}</label>
      <select id="from" @change=${(event: Event) => this.begin((event.target as HTMLSelectElement).value)}>
        <option value="">${words.ADD_OWN}</option>
        ${this.seen.length === 0 ? nothing : html`<optgroup label=${words.ADD_SEEN}>${this.seen.map((load, i) => html`<option value="seen ${i}">${load.name ?? unnamed(load.powerW)}</option>`)}</optgroup>`}
        <optgroup label=${words.ADD_COMMON}>${COMMON_LOADS.map((load, i) => html`<option value="common ${i}">${load.name}</option>`)}</optgroup>
      </select></div>`;
  }

  private begin(choice: string): void {
    const [kind, place] = choice.split(' ');
    this.from = kind === 'common' ? COMMON_LOADS[Number(place)]! : null;
    const seen = this.seen[Number(place)];
    if (this.from !== null) this.draft = commonDraft(this.from);
    else if (kind === 'seen' && seen !== undefined)
      this.draft = seenDraft(seen, words.unnamed(asText(this.formats.power(seen.powerW))));
    else this.draft = EMPTY_DRAFT;
    this.wrong = {};
  }

  private input(field: 'name' | NumberName, value: string, mode: string) {
    const wrong = this.wrong[field];
    const why = field === 'startFactor' || field === 'hoursPerDay' ? words.FIELD_WHY[field] : '';
    const described = [wrong === undefined ? '' : `${field}-wrong`, why === '' ? '' : `${field}-why`].join(' ').trim();
    return html`<input id=${field} inputmode=${mode} autocomplete="off" .value=${value} aria-invalid=${wrong === undefined ? 'false' : 'true'}
        aria-describedby=${described === '' ? nothing : described} @input=${(event: Event) => this.type(field, (event.target as HTMLInputElement).value)}>
      ${wrong === undefined ? nothing : html`<p class="wrong" id="${field}-wrong">${wrong}</p>`}
      ${why === '' ? nothing : html`<p class="ask" id="${field}-why">${why}</p>`}`;
  }

  private type(field: 'name' | NumberName, value: string): void {
    const { draft } = this;
    this.draft = field === 'name' ? { ...draft, name: value } : { ...draft, texts: { ...draft.texts, [field]: value } };
  }

  private keep(event: Event): void {
    event.preventDefault();
    const read = loadOf(this.draft);
    this.wrong = 'wrong' in read ? read.wrong : {};
    if ('load' in read) this.send(read.load);
    else
      void this.updateComplete.then(() =>
        (this.renderRoot.querySelector('[aria-invalid="true"]') as HTMLElement).focus(),
      );
  }

  private send(detail: PlannedLoadSettings | null): void {
    this.dispatchEvent(new CustomEvent('kept', { detail }));
  }
}

const sourceOf = ({ source, range: [low, high] }: CommonLoad, formats: Formats): string =>
  words.SOURCES[source](asText(formats.power(low)), asText(formats.power(high)));

customElements.define('load-form', LoadForm);
