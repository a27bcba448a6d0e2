/** Setup: which station, which panels, where? A short form over the settings file, each field with why it is asked. */

import { html, LitElement, nothing } from 'lit';
import type { Settings } from '#messages';
import { formatsFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { shared } from '../../styles/shared.ts';
import { TRY_NOW } from '../../words/connection.ts';
import * as words from '../../words/setup.ts';
import { check, freshStation, freshTransport, idFor, meaningOf, valueAt, withValue } from './draft.ts';
import { fieldRow } from './field-row.ts';
import { DISPLAY_FIELDS, type Field, RECORD_FIELDS } from './fields.ts';
import { lightChoice } from './light-choice.ts';
import { setupStyles } from './setup-styles.ts';
import { group, type StationForm, stationForm } from './station-form.ts';
import { setupSentence } from './summary.ts';
import '../now/typed-form.ts';

export class SetupView extends LitElement {
  static override properties = {
    app: { attribute: false },
    saved: { state: true },
    draft: { state: true },
    wrong: { state: true },
    editing: { state: true },
    message: { state: true },
    refusal: { state: true },
    removing: { state: true },
    suggestions: { state: true },
  };
  static override styles = [shared, setupStyles];

  declare app: App;
  /** As the file holds them; null until read. */
  declare saved: { settings: Settings; revision: string | null } | null;
  declare draft: Settings | null;
  declare wrong: ReadonlyMap<string, string>;
  declare editing: number;
  declare message: string;
  declare refusal: Refusal | null;
  declare removing: boolean;
  declare suggestions: { ports: { path: string; label: string }[]; adapters: { id: string; title: string }[] };

  constructor() {
    super();
    this.saved = null;
    this.draft = null;
    this.wrong = new Map();
    this.editing = 0;
    this.message = '';
    this.refusal = null;
    this.removing = false;
    this.suggestions = { ports: [], adapters: [] };
    new Listening(this, () => [this.app.live, this.app.selected, this.app.light]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    void this.load();
    void this.loadSuggestions();
  }

  private async load(): Promise<void> {
    const answer = await this.app.api.settings();
    this.refusal = answer.ok ? null : answer.refusal;
    if (!answer.ok) return;
    this.take(answer.value);
    const selected = selectedStation(this.app)?.station.id;
    this.editing = Math.max(
      0,
      answer.value.settings.station.findIndex(s => s.id === selected),
    );
  }

  private take(value: { settings: Settings; revision: string | null }): void {
    this.saved = value;
    this.draft = structuredClone(value.settings);
    this.wrong = new Map();
    this.removing = false;
  }

  private async loadSuggestions(): Promise<void> {
    const [ports, adapters] = await Promise.all([this.app.api.serialPorts(), this.app.api.adapters()]);
    this.suggestions = {
      ports: ports.ok ? ports.value.ports : [],
      adapters: adapters.ok ? adapters.value.adapters : [],
    };
  }

  protected override render() {
    const { draft, saved } = this;
    if (draft === null || saved === null) {
      if (this.refusal === null) return html`<h1>${words.SETUP_LOADING}</h1>`;
      return html`<h1>${words.SETUP_FAILED}</h1><p class="sure">${this.refusal.message} ${this.refusal.fix}</p>
        <p><button type="button" @click=${() => void this.load()}>${TRY_NOW}</button></p>`;
    }
    const demo = this.app.live.value.hello?.demo === true && saved.settings.station.length === 0;
    const station = draft.station[this.editing];
    return html`<h1>${setupSentence(saved.settings, Math.min(this.editing, saved.settings.station.length - 1), formatsFor(this.app.locale, 'C'))}</h1>
      <p class="sure">${demo ? words.DEMO_ENDS : words.SETUP_SURE}</p>
      <form novalidate @submit=${(event: Event) => void this.save(event)}>
        ${this.chooser(draft)}
        ${station === undefined ? nothing : stationForm(this.form(), `station.${this.editing}`)}
        ${station === undefined ? nothing : this.remover(station.name)}
        ${group(
          words.GROUPS.display,
          DISPLAY_FIELDS.map(field => fieldRow(this.form(), '', field)),
        )}
        ${group(
          words.GROUPS.record,
          RECORD_FIELDS.map(field => fieldRow(this.form(), '', field)),
        )}
        ${this.lists()}
        <div class="save ${this.message === words.UNSAVED ? 'dirty' : ''}"><button class="main">${words.SAVE}</button><p role="status">${this.message}</p></div>
        ${this.refused()}
      </form>
      ${this.typed()}
      ${group(words.GROUPS.light, lightChoice(this.app))}
      ${group(words.GROUPS.about, html`<p>${words.version(this.app.live.value.hello?.version ?? '')}</p><p><a href="/third-party.txt">${words.THIRD_PARTY}</a></p>`)}`;
  }

  private chooser(draft: Settings) {
    return html`<div class="row chooser">
      ${
        draft.station.length < 2
          ? nothing
          : html`<label>${words.WHICH_TO_EDIT} <select @change=${(event: Event) => this.edit(Number((event.target as HTMLSelectElement).value))}>
              ${draft.station.map((s, i) => html`<option value=${i} ?selected=${i === this.editing}>${s.name}</option>`)}
            </select></label>`
      }
      <button type="button" @click=${() => this.addStation()}>${words.ADD_STATION}</button>
    </div>`;
  }

  private remover(name: string) {
    if (!this.removing) {
      return html`<p><button class="word" type="button" @click=${() => {
        this.removing = true;
      }}>${words.REMOVE_STATION}</button></p>`;
    }
    return html`<div class="row" role="group" aria-label=${words.REMOVE_STATION}><span>${words.removeAsk(name)}</span>
      <button type="button" @click=${() => this.removeStation()}>${words.REMOVE_YES}</button>
      <button type="button" @click=${() => {
        this.removing = false;
      }}>${words.REMOVE_NO}</button></div>`;
  }

  private lists() {
    const { ports, adapters } = this.suggestions;
    return html`<datalist id="ports">${ports.map(p => html`<option value=${p.path}>${p.label}</option>`)}</datalist>
      <datalist id="adapters">${adapters.map(a => html`<option value=${a.id}>${a.title}</option>`)}</datalist>
      <datalist id="zones">${Intl.supportedValuesOf('timeZone').map(zone => html`<option value=${zone}></option>`)}</datalist>`;
  }

  private refused() {
    if (this.refusal === null) return nothing;
    const { message, fix, code } = this.refusal;
    return html`<p class="wrong" role="alert">${message} ${fix}</p>
      ${code === 'SETTINGS_CHANGED' ? html`<p><button type="button" @click=${() => void this.load()}>${words.LOAD_AGAIN}</button></p>` : nothing}`;
  }

  private typed() {
    const current = selectedStation(this.app)?.station;
    return current?.transport === 'typed'
      ? html`<typed-form .app=${this.app} .station=${current}></typed-form>`
      : nothing;
  }

  private form(): StationForm {
    return {
      draft: this.draft,
      wrong: this.wrong,
      change: (path, field, value) => this.change(path, field, value),
      addEntry: list =>
        this.setDraft(
          withValue(
            this.draft!,
            `${list}.${listLength(this.draft, list)}`,
            list.endsWith('.panel') ? { count: 1 } : {},
          ),
        ),
      removeEntry: (list, index) =>
        this.setDraft(
          withValue(
            this.draft!,
            list,
            (valueAt(this.draft, list) as unknown[]).filter((_, i) => i !== index),
          ),
        ),
    };
  }

  private change(path: string, field: Field, value: string | boolean): void {
    const meaning = typeof value === 'boolean' ? value : meaningOf(field, value);
    const next = withValue(this.draft!, path, meaning);
    this.setDraft(
      field.path === 'transport.kind'
        ? withValue(next, path.replace(/\.kind$/, ''), freshTransport(String(value)))
        : next,
    );
    this.wrong = new Map([...this.wrong].filter(([at]) => at !== path));
  }

  private setDraft(draft: Settings): void {
    this.draft = draft;
    this.message = words.UNSAVED;
    this.refusal = null;
  }

  private edit(index: number): void {
    this.editing = index;
    this.removing = false;
  }

  private addStation(): void {
    const used = this.draft!.station.map(s => s.id);
    this.setDraft(withValue(this.draft!, `station.${used.length}`, freshStation(used)));
    this.edit(used.length);
  }

  private removeStation(): void {
    const rest = this.draft!.station.filter((_, i) => i !== this.editing);
    this.setDraft({ ...this.draft!, station: rest });
    this.edit(Math.max(0, this.editing - 1));
  }

  private async save(event: Event): Promise<void> {
    event.preventDefault();
    const checked = check(this.withFreshIds());
    if (!checked.ok) return this.complain(checked.wrong, words.NOT_SAVED);
    const answer = await this.app.saveSettings(checked.settings, this.saved!.revision);
    if (answer.ok) {
      this.take(answer.value);
      this.refusal = null;
      this.message = words.SAVED;
      return;
    }
    this.refusal = answer.refusal;
    const { path, message, fix } = answer.refusal;
    this.complain(path === undefined ? new Map() : new Map([[path, `${message} ${fix}`]]), words.NOT_SAVED);
  }

  /** A station that was never saved takes its id from the name it was given. */
  private withFreshIds(): Settings {
    const known = new Set(this.saved!.settings.station.map(s => s.id));
    const used: string[] = [...known];
    const station = this.draft!.station.map(s => {
      if (known.has(s.id)) return s;
      const id = idFor(String(s.name), used);
      used.push(id);
      return { ...s, id };
    });
    return { ...this.draft!, station };
  }

  /** Shows complaints at their fields and goes to the first. */
  private complain(wrong: ReadonlyMap<string, string>, message: string): void {
    this.wrong = wrong;
    this.message = message;
    const [first] = wrong.keys();
    const other = /^station\.(\d+)\./.exec(first ?? '');
    if (other !== null) this.edit(Number(other[1]));
    void this.updateComplete.then(() => {
      if (first !== undefined)
        this.renderRoot.querySelector<HTMLElement>(`#${CSS.escape(first.replaceAll('.', '-'))}`)?.focus();
    });
  }
}

const listLength = (draft: unknown, path: string): number =>
  ((valueAt(draft, path) as unknown[] | undefined) ?? []).length;

customElements.define('setup-view', SetupView);
