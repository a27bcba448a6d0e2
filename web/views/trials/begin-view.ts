/** Beginning a trial: step by step what to connect, what to mind, a few choices, and one act. */
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import { TrialKind, type TrialsAnswer } from '#messages';
import { formatsFor, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow, may, type StationLive } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as trials from '../../words/trials.ts';
import * as words from '../../words/trials-begin.ts';
import { BEGINNING, FIELDS_OF, isAsked, METERED, readTyped, SELDOM, type Typed, type Wrong } from './begin-draft.ts';
import { dayOf, isDone, resultSentence } from './sentence.ts';
import { goTo, trialAddress, trialsApi } from './trials-api.ts';
import { trialsStyles } from './trials-styles.ts';

type Choices = readonly (readonly [value: string, text: string])[];
const NO_WRONG: Wrong = new Map();
const METER_FIELDS = ['meter', 'meterName', 'meterLimitPct'] as const;

export class TrialsBeginView extends LitElement {
  static override properties = {
    app: { attribute: false },
    answer: { state: true },
    typed: { state: true },
    wrong: { state: true },
    failed: { state: true },
    busy: { state: true },
  };
  static override styles = [shared, trialsStyles];

  declare app: App;
  declare answer: TrialsAnswer | null;
  declare typed: Typed;
  declare wrong: Wrong;
  declare failed: string;
  declare busy: boolean;
  private readonly kind = kindAsked();
  private asked = '';

  constructor() {
    super();
    this.answer = null;
    this.typed = BEGINNING;
    this.wrong = NO_WRONG;
    this.failed = '';
    this.busy = false;
    new Listening(this, () => [this.app.selected, this.app.live]);
  }

  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    if (live === null || live.station.id === this.asked) return;
    this.asked = live.station.id;
    void this.load(live.station.id);
  }

  /** What it lacks, and the discharges a charge can be held against. */
  private async load(station: string): Promise<void> {
    const answer = await trialsApi(this.app.api).of(station);
    if (selectedStation(this.app)?.station.id !== station) return;
    this.answer = answer.ok ? answer.value : null;
    this.failed = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
  }

  protected override render() {
    const live = selectedStation(this.app);
    const { kind } = this;
    const back = html`<p class="back"><a href="/trials">${trials.ALL_TRIALS}</a></p>`;
    if (kind === null) return html`<h1>${words.NO_SUCH}</h1>${back}`;
    if (live === null) return html`<h1>${trials.LOADING}</h1>`;
    const { name, purpose } = trials.KINDS[kind];
    const missing = this.answer?.kinds.find(row => row.kind === kind)?.missing ?? [];
    const mayBegin = may(this.app.live.value, 'mark');
    return html`<h1>${words.titleOf(name)}</h1><p class="sure">${purpose}</p>${back}
      ${missing.length === 0 ? nothing : html`<p class="wrong">${words.DOES_NOT_TELL(missing.map(trials.quantity).join(', '))}</p>`}
      <div class="sides apart">
        <div><h2 id="how">${words.HOW}</h2><ol class="plain" aria-labelledby="how">${words.STEPS[kind].map(text => html`<li>${text}</li>`)}</ol></div>
        <div class="aside"><h2 id="mind">${words.CAUTIONS}</h2><ul class="plain" aria-labelledby="mind">${cautions(kind).map(text => html`<li>${text}</li>`)}</ul></div>
        <div>${missing.length > 0 ? nothing : mayBegin ? this.form(kind, live) : html`<p class="wrong">${words.MAY_NOT}</p>`}</div>
      </div>`;
  }

  private form(kind: TrialKind, live: StationLive): TemplateResult {
    const field = (name: words.FieldName) => this.field(name, live);
    const asked = (names: readonly words.FieldName[]) => names.filter(name => isAsked(name, this.typed)).map(field);
    const own = [...FIELDS_OF[kind], ...(METERED.includes(kind) ? METER_FIELDS : [])];
    const seldomWrong = SELDOM.some(name => this.wrong.has(name));
    return html`<form novalidate @submit=${(event: Event) => void this.begin(event, kind, live)}>
      ${own.length === 0 ? nothing : html`<h2>${words.CHOICES}</h2><div class="fields">${asked(own)}</div>`}
      <details ?open=${seldomWrong}><summary>${words.MORE}</summary><div class="fields">${asked(SELDOM)}</div></details>
      ${this.failed === '' && this.wrong.size === 0 ? nothing : html`<p class="wrong" role="alert">${this.wrong.size > 0 ? words.REPLACE : ''} ${this.failed}</p>`}
      <p class="acts"><button class="main" ?disabled=${this.busy}>${words.BEGIN_NOW}</button></p>
      <p class="ask">${words.BEGINS_ITSELF}</p></form>`;
  }

  private field(name: words.FieldName, live: StationLive): TemplateResult {
    const [label, why] = words.FIELDS[name];
    const wrong = this.wrong.get(name);
    const choices = this.choices(name, live);
    const described = [wrong === undefined ? '' : `${name}-wrong`, why === '' ? '' : `${name}-why`].join(' ').trim();
    const take = (event: Event) => {
      this.typed = { ...this.typed, [name]: (event.target as HTMLInputElement).value };
    };
    const value = this.typed[name] ?? '';
    const input =
      choices === null
        ? html`<input id=${name} .value=${value} inputmode=${isText(name) ? 'text' : 'decimal'} autocomplete="off" aria-invalid=${wrong === undefined ? 'false' : 'true'} aria-describedby=${described} @input=${take}>`
        : html`<select id=${name} aria-describedby=${described} @change=${take}>${choices.map(([of, text]) => html`<option value=${of} ?selected=${of === value}>${text}</option>`)}</select>`;
    return html`<div class="field"><label for=${name}>${label}</label>${input}
      ${wrong === undefined ? nothing : html`<p class="wrong" id="${name}-wrong">${wrong}</p>`}${why === '' ? nothing : html`<p class="ask" id="${name}-why">${why}</p>`}</div>`;
  }

  /** What may be chosen in a field; null: it is typed. */
  private choices(name: words.FieldName, { station }: StationLive): Choices | null {
    const { CHOICE } = words;
    if (name === 'source')
      return [
        ['wall', CHOICE.wall],
        ['sun', CHOICE.sun],
      ];
    if (name === 'how')
      return [
        ['alternated', CHOICE.alternated],
        ['ports', CHOICE.ports],
      ];
    if (name === 'meter') {
      const others = this.app.live.value.stations.map(live => live.station).filter(({ id }) => id !== station.id);
      const sources = others.map(({ id, name }) => [`source:${id}`, name] as const);
      return [['none', CHOICE.none], ...sources, ['typed', CHOICE.typed]];
    }
    if (name !== 'discharge') return null;
    const formats = formatsFor(this.app.locale, 'C');
    const times = timesFor(this.app.locale, station.zone, this.app.live.value.display.clock);
    const said = { formats, times, nowAt: agentNow(this.app.live.value, this.app.clock.nowMs()) ?? 0 };
    const done = (this.answer?.trials ?? []).filter(trial => isDone(trial) && trial.kind === 'usable');
    return [
      ['', CHOICE.noDischarge],
      ...done.map(trial => [trial.id, `${dayOf(trial, said)}: ${resultSentence(trial, formats) ?? ''}`] as const),
    ];
  }

  private async begin(event: Event, kind: TrialKind, { station }: StationLive): Promise<void> {
    event.preventDefault();
    const read = readTyped(kind, this.typed);
    this.wrong = 'wrong' in read ? read.wrong : NO_WRONG;
    this.failed = '';
    if ('wrong' in read) {
      await this.updateComplete;
      this.renderRoot.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus();
      return;
    }
    this.busy = true;
    const answer = await trialsApi(this.app.api).start({ station: station.id, ...read });
    this.busy = false;
    if (answer.ok) goTo(trialAddress(answer.value.trial.id));
    else this.failed = `${answer.refusal.message} ${answer.refusal.fix}`;
  }
}

const isText = (name: words.FieldName): boolean => /Name$|^load$|^note$/.test(name);

function kindAsked(): TrialKind | null {
  const kind = new URLSearchParams(location.search).get('kind');
  return TrialKind.options.find(known => known === kind) ?? null;
}

function cautions(kind: TrialKind): readonly string[] {
  return [
    ...(kind === 'usable' ? [words.OUTAGE_CAUTION] : []),
    ...(kind === 'solar' || kind === 'twoSets' || kind === 'charge' ? [words.PANEL_CAUTION] : []),
    ...words.COMMON_CAUTIONS,
  ];
}

customElements.define('trials-begin-view', TrialsBeginView);
