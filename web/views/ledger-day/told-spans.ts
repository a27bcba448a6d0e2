/**
 * Spans with their reason: those of a day, what lasts now, one tap to begin or end one now, and a form for a stretch that
 * is told afterwards. Where the station was (lent, stored, travelling), and when the panels were in.
 */
import { css, html, LitElement, nothing } from 'lit';
import { repeat } from 'lit/directives/repeat.js';
import { type LedgerDayAnswer, type SpanChange, TOLD_REASONS, type ToldReason } from '#messages';
import { asText, formatsFor, type Times } from '../../format.ts';
import type { Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { agentNow, may } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/spans.ts';
import { dayApi, refusedText } from './day-api.ts';
import { civilText, instantOf } from './instant-field.ts';

export type SpanShown = LedgerDayAnswer['spans'][number];
type Wrong = { at: 'from' | 'to' | 'all'; text: string } | null;

const LONGEST = 400;
const isTold = (reason: string): reason is ToldReason => (TOLD_REASONS as readonly string[]).includes(reason);
const keyOf = ({ reason, fromAt }: SpanShown): string => `${reason} ${fromAt}`;
const sameSpan = (a: SpanShown, b: SpanShown): boolean => keyOf(a) === keyOf(b);

export class ToldSpans extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    spans: { attribute: false },
    date: { attribute: false },
    lasting: { attribute: false },
    times: { attribute: false },
    linked: { attribute: false },
    open: { state: true },
    wrong: { state: true },
  };
  static override styles = [
    shared,
    css`
      :host { max-width: 860px; }
      ol { margin: 0; padding: 0; list-style: none; }
      li { display: grid; grid-template-columns: 1fr max-content; gap: 4px 16px; align-items: baseline; padding: 8px 0; border-bottom: var(--hair-width) solid var(--hair); }
      li form { grid-column: 1 / -1; }
      li .told { overflow-wrap: anywhere; }
      li .told span { color: var(--soft); }
      p { margin: 4px 0; color: var(--soft); }
      .acts { display: flex; flex-wrap: wrap; align-items: center; gap: 12px; margin-top: 12px; }
      form { max-width: 640px; padding: 4px 0 12px; }
      label { display: block; margin: 8px 0 4px; }
      .two { display: grid; grid-template-columns: repeat(auto-fit, minmax(220px, 1fr)); gap: 0 16px; }
      .ask { font-size: 15px; }
    `,
  ];

  declare app: App;
  declare station: string;
  /** Those to be shown. */
  declare spans: readonly SpanShown[];
  /** Times of this civil date stand without it; '' names every day. */
  declare date: string;
  /** Told and still lasting, whatever is shown. */
  declare lasting: readonly SpanShown[];
  declare times: Times;
  /** The station is read over a link: putting it away is what stores it. */
  declare linked: boolean;
  /** The span whose form stands open; `new` for another one. */
  declare open: SpanShown | 'new' | null;
  declare wrong: Wrong;

  constructor() {
    super();
    this.spans = [];
    this.date = '';
    this.lasting = [];
    this.open = null;
    this.wrong = null;
  }

  protected override render() {
    const allowed = may(this.app.live.value, 'mark');
    const shown = [...this.spans, ...this.lasting.filter(one => !this.spans.some(span => sameSpan(span, one)))];
    return html`<h2>${words.SPANS}</h2><p>${words.SPANS_WHY}</p>
      ${shown.length === 0 ? html`<p>${words.NO_SPANS}</p>` : html`<ol>${repeat(shown, keyOf, span => this.item(span, allowed))}</ol>`}
      ${this.wrong?.at === 'all' && this.open === null ? html`<p class="wrong" role="alert">${this.wrong.text}</p>` : nothing}
      ${allowed ? this.acts() : nothing}
      ${this.open === 'new' ? this.form(null) : nothing}`;
  }

  private item(span: SpanShown, allowed: boolean) {
    const { reason, note, fromAt, toAt, beforePct, afterPct } = span;
    const now = agentNow(this.app.live.value, this.app.clock.nowMs()) ?? this.app.clock.nowMs();
    const moment = (at: string) =>
      this.times.date(Date.parse(at)) === this.date
        ? this.times.time(Date.parse(at))
        : this.times.moment(Date.parse(at), now, true);
    const bounds = toAt === null ? words.since(moment(fromAt)) : words.fromTo(moment(fromAt), moment(toAt));
    const percent = (value: number | null) =>
      value === null ? null : asText(formatsFor(this.app.locale, 'C').percent(value));
    const levels = reason === 'lent' ? words.lentTold(percent(beforePct), percent(afterPct)) : '';
    const text = words.reasonText(reason, note);
    const changes = allowed && isTold(reason);
    return html`<li><span class="told">${text} <span>${bounds}${levels === '' ? '' : `; ${levels}`}</span></span>
      ${changes ? html`<button class="word" type="button" aria-label=${words.changeLabel(text.slice(0, 40))} aria-expanded=${this.isOpen(span) ? 'true' : 'false'} @click=${() => this.begin(span)}>${words.CHANGE}</button>` : html`<span></span>`}
      ${this.isOpen(span) ? this.form(span) : nothing}</li>`;
  }

  /** What lasts can end now; what does not can begin now: a station is in one place at a time. */
  private acts() {
    const lasting = this.lasting.filter(({ reason }) => isTold(reason));
    const isAway = lasting.some(({ reason }) => reason !== 'panelsIn');
    const areIn = lasting.some(({ reason }) => reason === 'panelsIn');
    const free = TOLD_REASONS.filter(reason => (reason === 'panelsIn' ? !areIn : !isAway)).filter(
      reason => reason !== 'stored' || !this.linked || may(this.app.live.value, 'change'),
    );
    return html`<div class="acts">${lasting.map(span => html`<button type="button" @click=${() => void this.end(span)}>${words.END[span.reason as ToldReason]}</button>`)}
      ${free.length === 0 ? nothing : html`<span>${words.BEGIN_NOW}</span>`}
      ${free.map(reason => html`<button type="button" @click=${() => void this.beginNow(reason)}>${words.BEGIN[reason]}</button>`)}
      ${this.open === 'new' ? nothing : html`<button type="button" class="tell" @click=${() => this.begin('new')}>${words.TELL}</button>`}</div>`;
  }

  private form(span: SpanShown | null) {
    const civil = (at: string | null) => (at === null ? '' : civilText(Date.parse(at), this.times.zone));
    const wrong = (at: 'from' | 'to' | 'all') =>
      this.wrong?.at === at ? html`<p class="wrong" role="alert">${this.wrong.text}</p>` : nothing;
    const invalid = (at: 'from' | 'to') => (this.wrong?.at === at ? 'true' : 'false');
    return html`<form novalidate @submit=${(event: Event) => void this.save(event, span)}>
      <label for="reason">${words.REASON}</label>
      <select id="reason">${TOLD_REASONS.map(reason => html`<option value=${reason} ?selected=${reason === span?.reason}>${words.REASONS[reason]}</option>`)}</select>
      <div class="two"><div><label for="from">${words.FROM}</label>
        <input id="from" type="datetime-local" .value=${civil(span?.fromAt ?? null)} aria-invalid=${invalid('from')} aria-describedby="from-wrong">
        <div id="from-wrong">${wrong('from')}</div></div>
      <div><label for="to">${words.TO}</label>
        <input id="to" type="datetime-local" .value=${civil(span?.toAt ?? null)} aria-invalid=${invalid('to')} aria-describedby="to-why to-wrong">
        <p class="ask" id="to-why">${words.TO_WHY}</p><div id="to-wrong">${wrong('to')}</div></div></div>
      <label for="note">${words.NOTE}</label>
      <input id="note" maxlength=${LONGEST} autocomplete="off" .value=${span?.note ?? ''}>
      ${wrong('all')}
      <div class="acts"><button type="submit">${words.SAVE}</button>
        ${span === null ? nothing : html`<button type="button" @click=${() => void this.tell({ do: 'remove', of: ofSpan(span) })}>${words.REMOVE}</button>`}
        <button type="button" @click=${() => this.begin(null)}>${words.CANCEL}</button></div>
    </form>`;
  }

  /** Told anew with each answer, and the same all the while: what is being written stays. */
  private isOpen(span: SpanShown): boolean {
    return this.open !== null && this.open !== 'new' && sameSpan(this.open, span);
  }

  private begin(what: SpanShown | 'new' | null): void {
    const stood = typeof what === 'object' && what !== null ? this.isOpen(what) : this.open === what;
    this.open = stood ? null : what;
    this.wrong = null;
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('#reason, .tell')?.focus());
  }

  private async save(event: Event, span: SpanShown | null): Promise<void> {
    event.preventDefault();
    const value = (id: string) => (this.renderRoot.querySelector(`#${id}`) as HTMLInputElement).value.trim();
    const { zone } = this.times;
    const [from, to, note] = [value('from'), value('to'), value('note')];
    const reason = value('reason') as ToldReason;
    // An instant that the field shows to the minute stays what it is to the millisecond.
    const meant = (text: string, was: string | null) =>
      was !== null && civilText(Date.parse(was), zone) === text ? was : instantOf(text, zone);
    const fromAt = meant(from, span?.fromAt ?? null);
    const toAt = to === '' ? null : meant(to, span?.toAt ?? null);
    if (fromAt === null) {
      this.wrong = { at: 'from', text: from === '' ? words.FROM_NEEDED : words.TIME_WRONG };
      return;
    }
    if (to !== '' && toAt === null) {
      this.wrong = { at: 'to', text: words.TIME_WRONG };
      return;
    }
    const told = { reason, fromAt, toAt, note };
    await this.tell(span === null ? { do: 'add', ...told } : { do: 'change', of: ofSpan(span), ...told });
  }

  /** A station that is read is stored by letting it alone. */
  private async beginNow(reason: ToldReason): Promise<void> {
    if (reason === 'stored' && this.linked) this.heard(await this.app.api.putAway(this.station));
    else await this.tell({ do: 'begin', reason, note: '' });
  }

  private async end(span: SpanShown): Promise<void> {
    if (span.reason === 'stored' && this.linked) this.heard(await this.app.api.retry(this.station));
    else await this.tell({ do: 'end', of: ofSpan(span) });
  }

  private async tell(change: SpanChange): Promise<void> {
    this.heard(await dayApi(this.app.api, this.station).span(change));
  }

  private heard(answer: { ok: true } | { ok: false; refusal: Refusal }): void {
    if (answer.ok) {
      this.open = null;
      this.wrong = null;
      this.dispatchEvent(new CustomEvent('changed'));
      return;
    }
    const at = answer.refusal.path === 'fromAt' ? 'from' : answer.refusal.path === 'toAt' ? 'to' : 'all';
    this.wrong = { at: this.open === null ? 'all' : at, text: refusedText(answer.refusal) };
  }
}

const ofSpan = ({ reason, fromAt }: SpanShown) => ({ reason: reason as ToldReason, fromAt });

customElements.define('told-spans', ToldSpans);
