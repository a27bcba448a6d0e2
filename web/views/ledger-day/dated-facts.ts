/**
 * What was true of a station from when on: panels, place, price, label and the like, newest first. Where a fact was told
 * later than it became true, its day is put right, and what that changes is told before it is done.
 */
import { css, html, LitElement, nothing } from 'lit';
import { civilDate } from '#energy/civil-day';
import type { DatedFact, FactChange, FactChanged, FactsAnswer } from '#messages';
import { type Formats, formatsFor, type Times, timesFor } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { agentNow, may } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/facts.ts';
import { dayApi, refusedText } from './day-api.ts';
import { factText, isTold } from './fact-text.ts';

interface Moving {
  fact: DatedFact;
  date: string;
  /** What it would change; null until asked. */
  told: FactChanged | null;
  wrong: string;
}

/** Where a fact stands among those of its key. */
interface Place {
  isFirst: boolean;
  isOnly: boolean;
}

export class DatedFacts extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    answer: { state: true },
    moving: { state: true },
    message: { state: true },
  };
  static override styles = [
    shared,
    css`
      details { margin-top: 24px; border-top: var(--hair-width) solid var(--hair); }
      summary { padding: 12px 0; }
      summary h2 { display: inline; margin: 0; }
      p { margin: 4px 0; color: var(--soft); max-width: 720px; }
      dl { display: grid; grid-template-columns: minmax(150px, max-content) 1fr; gap: 0 24px; margin: 12px 0; }
      dt, dd { margin: 0; padding: 8px 0; border-bottom: var(--hair-width) solid var(--hair); }
      dt { color: var(--soft); }
      dd p { display: flex; flex-wrap: wrap; gap: 4px 16px; color: var(--ink); }
      dd p span:nth-child(2) { color: var(--soft); }
      form { max-width: 640px; padding: 4px 0 8px; }
      form p { display: block; }
      label { display: block; margin: 8px 0 4px; }
      input { max-width: 200px; }
      .acts { display: flex; flex-wrap: wrap; gap: 12px; margin-top: 12px; }
      @media (max-width: 719px) {
        dl { grid-template-columns: 1fr; }
        dt { padding-bottom: 0; border-bottom: 0; }
      }
    `,
  ];

  declare app: App;
  declare station: string;
  declare answer: FactsAnswer | null;
  declare moving: Moving | null;
  declare message: string;

  private asked = '';

  constructor() {
    super();
    this.answer = null;
    this.moving = null;
    this.message = '';
  }

  protected override render() {
    return html`<details @toggle=${(event: Event) => this.toggled(event)}><summary><h2>${words.FACTS}</h2></summary>
      <p>${words.FACTS_WHY}</p><p role="status">${this.message}</p>${this.list()}</details>`;
  }

  private toggled(event: Event): void {
    if ((event.currentTarget as HTMLDetailsElement).open && this.asked !== this.station) void this.load();
  }

  private async load(): Promise<void> {
    this.asked = this.station;
    const answer = await dayApi(this.app.api, this.station).facts();
    if (answer.ok) this.answer = answer.value;
    else {
      this.asked = '';
      this.message = refusedText(answer.refusal);
    }
  }

  private list() {
    const { answer } = this;
    if (answer === null || answer.station !== this.station) return html`<p>${words.LOADING}</p>`;
    const formats = formatsFor(this.app.locale, 'C');
    const times = timesFor(this.app.locale, answer.zone, this.app.live.value.display.clock);
    const keys = (Object.keys(words.FACT_NAMES) as words.FactName[]).filter(key =>
      answer.facts.some(fact => fact.key === key && fact.valueJson !== null),
    );
    if (keys.length === 0) return html`<p>${words.NONE}</p>`;
    return html`<dl>${keys.map(key => {
      const facts = answer.facts.filter(fact => fact.key === key).toReversed();
      return html`<dt>${words.FACT_NAMES[key]}</dt><dd>${facts.map((fact, i) => this.fact(fact, { isFirst: i === facts.length - 1, isOnly: facts.length === 1 }, formats, times))}</dd>`;
    })}</dl>`;
  }

  private fact(fact: DatedFact, { isFirst, isOnly }: Place, formats: Formats, times: Times) {
    if (!isTold(fact.key)) return nothing;
    const text = factText(fact.key, fact.valueJson, formats);
    const since = words.from(times.dayMonth(this.dateOf(fact), this.today()));
    const isOpen = this.moving?.fact === fact;
    // The first holds for the time before it too; it moves where another stands after it, to make room for that one.
    const movable = fact.movable && !isOnly && may(this.app.live.value, 'change');
    return html`<p><span>${text}</span><span>${since}${isFirst ? ` ${words.FIRST}` : ''}</span>
        ${movable ? html`<button class="word" type="button" aria-expanded=${isOpen ? 'true' : 'false'} aria-label=${words.putRightLabel(words.FACT_NAMES[fact.key], text)} @click=${() => this.begin(isOpen ? null : fact)}>${words.PUT_RIGHT}</button>` : nothing}</p>
      ${isOpen ? this.form(this.moving!, fact.key, formats, times) : nothing}`;
  }

  private form({ date, told, wrong }: Moving, key: words.FactName, formats: Formats, times: Times) {
    return html`<form novalidate @submit=${(event: Event) => void this.submit(event)}>
      <label for="day">${words.DAY}</label>
      <input id="day" type="date" max=${this.today()} .value=${date} aria-invalid=${wrong === '' ? 'false' : 'true'} aria-describedby="wrong" @input=${this.typed}>
      <div id="wrong">${wrong === '' ? nothing : html`<p class="wrong" role="alert">${wrong}</p>`}</div>
      <p role="status">${told === null ? '' : this.changesText(told, key, formats, times)}</p>
      <div class="acts"><button type="submit">${told === null ? words.TELL : words.DO_IT}</button>
        <button type="button" @click=${() => this.begin(null)}>${words.CANCEL}</button></div>
    </form>`;
  }

  private changesText(told: FactChanged, key: words.FactName, formats: Formats, times: Times): string {
    if (told.days === 0) return `${words.CHANGES_NOTHING} ${words.NOTHING_ELSE}`;
    const day = (date: string) => times.dayMonth(date, this.today());
    const value = (json: string | null) => factText(key, json, formats);
    const count = words.daysCount(told.days, formats.number(told.days, 0));
    const what = words.changes(
      count,
      day(told.fromDate),
      day(told.toDate),
      value(told.becomesJson),
      value(told.wasJson),
    );
    return `${what} ${words.NOTHING_ELSE}`;
  }

  private begin(fact: DatedFact | null): void {
    this.message = '';
    this.moving = fact === null ? null : { fact, date: this.dateOf(fact), told: null, wrong: '' };
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('#day')?.focus());
  }

  /** Another day would change something else: it is told anew. */
  private readonly typed = (event: Event) => {
    const date = (event.target as HTMLInputElement).value;
    if (this.moving !== null) this.moving = { ...this.moving, date, told: null, wrong: '' };
  };

  private async submit(event: Event): Promise<void> {
    event.preventDefault();
    const { moving } = this;
    if (moving === null) return;
    if (moving.date === '') {
      this.moving = { ...moving, wrong: words.DATE_NEEDED };
      return;
    }
    const dryRun = moving.told === null;
    const { key, validFromAt } = moving.fact;
    const change = { key: key as FactChange['key'], validFromAt, date: moving.date, dryRun };
    const answer = await dayApi(this.app.api, this.station).moveFact(change);
    if (!answer.ok) {
      this.moving = { ...moving, told: null, wrong: refusedText(answer.refusal) };
    } else if (dryRun) this.moving = { ...moving, told: answer.value, wrong: '' };
    else await this.done();
  }

  private async done(): Promise<void> {
    this.moving = null;
    this.message = words.DONE;
    await this.load();
    this.dispatchEvent(new CustomEvent('changed'));
  }

  private dateOf = ({ validFromAt }: DatedFact): string => civilDate(Date.parse(validFromAt), this.answer!.zone);

  private today(): string {
    const now = agentNow(this.app.live.value, this.app.clock.nowMs()) ?? this.app.clock.nowMs();
    return civilDate(now, this.answer?.zone ?? this.app.zone);
  }
}

customElements.define('dated-facts', DatedFacts);
