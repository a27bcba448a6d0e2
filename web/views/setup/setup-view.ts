/** Setup: which station, which panels, where? A short form over the settings file, each field with why it is asked. */

import { html, LitElement, nothing } from 'lit';
import type { Settings } from '#messages';
import { formatsFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import { soundIsOn } from '../../sound/alarm.ts';
import type { Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { settingsApi } from '../../state/settings-api.ts';
import { shared } from '../../styles/shared.ts';
import { TRY_NOW } from '../../words/connection.ts';
import { TITLE as OWN_ADAPTERS } from '../../words/own-adapters.ts';
import * as words from '../../words/setup.ts';
import { TITLE as SHARING } from '../../words/sharing.ts';
import { chooser, remover } from './choosing.ts';
import {
  check,
  freshEntry,
  freshStation,
  freshTransport,
  HOURS,
  meaningOf,
  unitOf,
  valueAt,
  withFreshIds,
  withValue,
} from './draft.ts';
import { fieldRow } from './field-row.ts';
import { DISPLAY_FIELDS, type Field, RECORD_FIELDS, TARIFF_FIELDS } from './fields.ts';
import { folded, group } from './group.ts';
import { hoursForm } from './hours-form.ts';
import { lettingGo } from './letting-go.ts';
import { lightChoice } from './light-choice.ts';
import type { Chosen } from './peripherals.ts';
import type { Position } from './position.ts';
import { locatorOfBrowser, type PositionState, positionButton } from './position-button.ts';
import { setupStyles } from './setup-styles.ts';
import { soundChoice } from './sound-choice.ts';
import { foldsAround, type StationForm, stationForm } from './station-form.ts';
import { loadSuggestions, NO_SUGGESTIONS, type Suggestions, suggestionLists } from './suggestions.ts';
import { setupSentence } from './summary.ts';
import { tariffTold } from './told.ts';
import '../now/typed-form.ts';
import './ble-scan.ts';
import './home-sharing.ts';
import './own-adapters.ts';

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
    opened: { state: true },
    position: { state: true },
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
  declare suggestions: Suggestions;
  /** Groups that stand open. */
  declare opened: ReadonlySet<string>;
  declare position: PositionState;

  constructor() {
    super();
    this.saved = null;
    this.draft = null;
    this.wrong = new Map();
    this.editing = 0;
    this.message = '';
    this.refusal = null;
    this.removing = false;
    this.suggestions = NO_SUGGESTIONS;
    this.opened = new Set();
    this.position = 'idle';
    new Listening(this, () => [this.app.live, this.app.selected, this.app.light, soundIsOn]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    // Another view may send its reader to one group: `/setup#panels`.
    const group = location.hash.slice(1);
    if (group !== '') this.opened = new Set([group]);
    void this.load().then(async () => {
      await this.updateComplete;
      if (group !== '') this.renderRoot.querySelector(`#group-${CSS.escape(group)}`)?.scrollIntoView();
    });
    void loadSuggestions(this.app.api).then(suggestions => {
      this.suggestions = suggestions;
    });
  }

  private async load(): Promise<void> {
    const answer = await settingsApi(this.app.api).settings();
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

  protected override render() {
    const { draft, saved } = this;
    if (draft === null || saved === null) {
      if (this.refusal === null) return html`<h1>${words.SETUP_LOADING}</h1>`;
      return html`<h1>${words.SETUP_FAILED}</h1><p class="sure">${this.refusal.message} ${this.refusal.fix}</p>
        <p><button type="button" @click=${() => void this.load()}>${TRY_NOW}</button></p>`;
    }
    const demo = this.app.live.value.hello?.demo === true && saved.settings.station.length === 0;
    const station = draft.station[this.editing];
    const form = this.form();
    return html`<h1>${setupSentence(saved.settings, Math.min(this.editing, saved.settings.station.length - 1), form.formats)}</h1>
      <p class="sure">${demo ? words.DEMO_ENDS : words.SETUP_SURE}</p>
      <form novalidate @submit=${(event: Event) => void this.save(event)}>
        ${chooser({
          names: draft.station.map(s => s.name),
          editing: this.editing,
          edit: index => this.edit(index),
          add: () => this.addStation(),
        })}
        ${station === undefined ? nothing : stationForm(form, `station.${this.editing}`)}
        ${station === undefined ? nothing : this.remover(station.name)}
        ${folded(form, 'tariff', words.GROUPS.tariff, tariffTold(draft, form.formats), [...this.rows(form, TARIFF_FIELDS), hoursForm(form)])}
        ${folded(form, 'display', words.GROUPS.display, '', this.rows(form, [...DISPLAY_FIELDS, ...RECORD_FIELDS]))}
        ${suggestionLists(this.suggestions)}
        <div class="save ${this.message === words.UNSAVED ? 'dirty' : ''}"><button class="main">${words.SAVE}</button><p role="status">${this.message}</p></div>
        ${this.refused()}
      </form>
      ${this.typed()}
      ${group(SHARING, html`<home-sharing id="group-sharing" .app=${this.app}></home-sharing>`)}
      ${group(OWN_ADAPTERS, html`<own-adapters id="group-adapters" .app=${this.app}></own-adapters>`)}
      ${group(words.GROUPS.light, lightChoice(this.app))}
      ${group(words.GROUPS.sound, soundChoice())}
      ${group(words.GROUPS.about, html`<p>${words.version(this.app.live.value.hello?.version ?? '')}</p><p><a href="/third-party.txt">${words.THIRD_PARTY}</a></p>`)}`;
  }

  private rows(form: StationForm, fields: readonly Field[]) {
    return fields.map(field => fieldRow(form, '', field));
  }

  private remover(name: string) {
    const ask = (asked: boolean) => {
      this.removing = asked;
    };
    return remover(name, this.removing, ask, () => this.removeStation());
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
    const entries = (list: string) => (valueAt(this.draft, list) as unknown[] | undefined) ?? [];
    const put = (path: string, value: unknown) => this.setDraft(withValue(this.draft!, path, value));
    return {
      draft: this.draft,
      wrong: this.wrong,
      formats: formatsFor(this.app.locale, unitOf(this.draft)),
      isOpen: name => this.opened.has(name),
      toggle: (name, open) => this.fold(name, open),
      change: (path, field, value) => this.change(path, field, value),
      addEntry: list => put(list, [...entries(list), freshEntry(list)]),
      removeEntry: (list, index) => {
        const rest = entries(list).filter((_, i) => i !== index);
        // Without an entry left a tariff has no such list.
        put(list, list === HOURS && rest.length === 0 ? undefined : rest);
      },
      search: base =>
        html`<ble-scan .app=${this.app} .take=${(chosen: Chosen) => this.takePeripheral(base, chosen)}></ble-scan>`,
      lettingGo: base =>
        lettingGo({
          live: this.app.live.value.stations.find(s => s.station.id === valueAt(this.draft, `${base}.id`)) ?? null,
          release: id => void this.app.api.release(id),
          putAway: id => void this.app.api.putAway(id),
          takeUp: id => void this.app.api.retry(id),
        }),
      position: base =>
        positionButton({
          state: this.position,
          locator: locatorOfBrowser(),
          say: state => {
            this.position = state;
          },
          take: position => this.takePosition(base, position),
        }),
    };
  }

  private takePeripheral(base: string, { transport, adapter, name }: Chosen): void {
    let next = withValue(this.draft!, `${base}.transport`, transport);
    if (adapter !== null) next = withValue(next, `${base}.adapter`, adapter);
    const isUnnamed = valueAt(this.draft, `${base}.name`) === words.NEW_STATION;
    this.setDraft(isUnnamed && name !== null ? withValue(next, `${base}.name`, name) : next);
    this.wrong = new Map([...this.wrong].filter(([at]) => !at.startsWith(`${base}.transport`)));
  }

  private takePosition(base: string, { latitudeDeg, longitudeDeg, altitudeM }: Position): void {
    const place = { ...(valueAt(this.draft, `${base}.place`) as object | undefined), latitudeDeg, longitudeDeg };
    this.setDraft(withValue(this.draft!, `${base}.place`, altitudeM === null ? place : { ...place, altitudeM }));
  }

  private fold(name: string, open: boolean): void {
    if (this.opened.has(name) === open) return;
    const rest = [...this.opened].filter(other => other !== name);
    this.opened = new Set(open ? [...rest, name] : rest);
  }

  private change(path: string, field: Field, value: string | boolean): void {
    const meaning = typeof value === 'boolean' ? value : meaningOf(field, value, unitOf(this.draft));
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
    const checked = check(withFreshIds(this.draft!, this.saved!.settings));
    if (!checked.ok) return this.complain(checked.wrong, words.NOT_SAVED);
    const answer = await settingsApi(this.app.api).save(checked.settings, this.saved!.revision);
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

  /** Shows complaints at their fields and goes to the first. */
  private complain(wrong: ReadonlyMap<string, string>, message: string): void {
    this.wrong = wrong;
    this.message = message;
    const [first] = wrong.keys();
    this.opened = new Set([...this.opened, ...[...wrong.keys()].flatMap(foldsAround)]);
    const other = /^station\.(\d+)\./.exec(first ?? '');
    if (other !== null) this.edit(Number(other[1]));
    void this.updateComplete.then(() => {
      if (first !== undefined)
        this.renderRoot.querySelector<HTMLElement>(`#${CSS.escape(first.replaceAll('.', '-'))}`)?.focus();
    });
  }
}

customElements.define('setup-view', SetupView);
