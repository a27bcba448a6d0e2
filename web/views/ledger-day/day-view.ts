/** One day of the Ledger: a sentence, one drawing on the civil day's axis, its figures, notes and spans. */

import { html, LitElement, nothing } from 'lit';
import { civilDate } from '#energy/civil-day';
import type { LedgerAnswer, LedgerDayAnswer, SeriesAnswer } from '#messages';
import { asText, type Formats, formatsFor, spanText, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import { COUNTER } from '../../words/ledger-counted.ts';
import * as words from '../../words/ledger-day.ts';
import { SAVE_DAY } from '../../words/ledger-saving.ts';
import { countedLines } from '../ledger/counted.ts';
import { dayOf } from '../ledger/one-date.ts';
import { savingPart } from '../ledger/saving-part.ts';
import { dayApi, refusedText } from './day-api.ts';
import { leastGapOfTyped, QUANTITIES } from './day-columns.ts';
import { type DayDrawing, dayDrawable } from './day-drawing.ts';
import { dayFigures, moneyOf, wentRows } from './day-figures.ts';
import { courseWh, dateText, daySentence } from './day-sentence.ts';
import { dayStyles } from './day-styles.ts';
import { daylist, figureTable, markList } from './day-tables.ts';
import { dateIn } from './instant-field.ts';
import './dated-facts.ts';
import './day-notes.ts';
import './told-spans.ts';

const MINUTE_MS = 60_000;
/** A source that speaks only on change is drawn through silences up to this, ms. */
const ON_CHANGE_MS = 3_600_000;
/** Yields of a day that runs are worked out anew after this long, ms. */
const LEDGER_EVERY_MS = 10 * MINUTE_MS;

/** All that is known of the day so far. */
interface Loaded {
  answer: LedgerDayAnswer;
  series: SeriesAnswer;
}

export class LedgerDayView extends LitElement {
  static override properties = {
    app: { attribute: false },
    loaded: { state: true },
    ledger: { state: true },
    refusal: { state: true },
  };
  static override styles = [shared, dayStyles];

  declare app: App;
  declare loaded: Loaded | null;
  /** undefined: not answered yet; null: could not be had, the rest of the page stands without it. */
  declare ledger: LedgerAnswer | null | undefined;
  declare refusal: Refusal | null;

  /** Of the address it was made for. */
  private readonly date = dateIn(location.pathname);
  private asked = '';
  private ledgerAskedAt = 0;
  /** Kept until something in it could have changed. */
  private drawn: { of: readonly unknown[]; drawing: DayDrawing } | null = null;
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.loaded = null;
    this.refusal = null;
    new Listening(this, () => [this.app.live, this.app.selected, this.app.light]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    import('../../charts/time-chart.ts').then(
      () => this.requestUpdate(),
      () => this.requestUpdate(),
    );
  }

  /** Asks when the station or the agent's run has changed; a day that runs, once a minute. */
  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    const { hello } = this.app.live.value;
    if (live === null || hello === null || this.date === null) return;
    const { id, zone } = live.station;
    const now = agentNow(this.app.live.value, this.app.clock.nowMs())!;
    const runs = civilDate(now, zone) === this.date;
    const key = `${id} ${hello.heardMs} ${runs ? Math.floor(now / MINUTE_MS) : ''}`;
    if (key === this.asked) return;
    if (id !== this.asked.split(' ')[0]) {
      this.loaded = null;
      this.ledger = undefined;
    }
    this.asked = key;
    void this.load(id, this.date);
    // Worked out by a process that begins for it: the day does not wait, and asks seldom.
    if (this.ledger === undefined || now - this.ledgerAskedAt >= LEDGER_EVERY_MS)
      void this.loadLedger(id, this.date, now);
  }

  private async load(station: string, date: string): Promise<void> {
    const day = await dayApi(this.app.api, station).day(date);
    const isStill = () => selectedStation(this.app)?.station.id === station;
    if (!isStill()) return;
    if (!day.ok) {
      this.refusal = day.refusal;
      return;
    }
    const [fromMs, toMs] = [Date.parse(day.value.startAt), Date.parse(day.value.endAt)];
    // As many as there are pixels, or half as many on a phone.
    const points = Math.round((toMs - fromMs) / MINUTE_MS / (this.narrow.matches ? 2 : 1));
    const series = await this.app.api.series(station, QUANTITIES, fromMs, toMs, points);
    if (!isStill()) return;
    this.refusal = series.ok ? null : series.refusal;
    if (series.ok) this.loaded = { answer: day.value, series: series.value };
  }

  private async loadLedger(station: string, date: string, now: number): Promise<void> {
    this.ledgerAskedAt = now;
    const ledger = await dayApi(this.app.api, station).ledger(date, date);
    if (selectedStation(this.app)?.station.id === station) this.ledger = ledger.ok ? ledger.value : null;
  }

  private readonly again = () => {
    if (this.loaded === null) return;
    const { station, date } = this.loaded.answer;
    void this.load(station, date);
    void this.loadLedger(station, date, agentNow(this.app.live.value, this.app.clock.nowMs()) ?? 0);
  };

  protected override render() {
    if (this.date === null)
      return this.only(words.noSuchDate(location.pathname.split('/')[2] ?? ''), words.NO_SUCH_DATE_SURE);
    const live = selectedStation(this.app);
    if (live === null && this.app.live.value.hello !== null) return this.only(words.NO_STATION, '');
    if (this.loaded === null) {
      if (this.refusal === null) return html`<h1>${words.DAY_LOADING}</h1>`;
      return this.only(words.DAY_FAILED, refusedText(this.refusal));
    }
    const { answer } = this.loaded;
    const { ledger } = this;
    const formats = formatsFor(this.app.locale, 'C');
    const times = timesFor(this.app.locale, answer.zone, this.app.live.value.display.clock);
    const drawing = this.drawing(this.loaded, formats, times);
    const told = dayOf(ledger?.days ?? [], answer.date);
    const clearSkyWh = told?.clearSkyWh ?? courseWh(answer);
    const { headline, sure } = daySentence(answer, drawing.gaps, clearSkyWh, formats, times);
    return html`<h1>${headline}</h1>
      <p class="sure">${sure.map(piece => (piece.strong ? html`<b>${piece.text}</b>` : piece.text))}</p>
      ${this.others(answer, times)}
      ${answer.date > answer.today ? nothing : this.body(this.loaded, drawing, formats, times)}`;
  }

  private readonly only = (headline: string, sure: string) =>
    html`<h1>${headline}</h1><p class="sure">${sure}</p><nav class="others"><a href="/ledger">${words.TO_LEDGER}</a></nav>`;

  private drawing({ answer, series }: Loaded, formats: Formats, times: Times): DayDrawing {
    const live = selectedStation(this.app);
    const isTyped = live?.station.transport === 'typed';
    const leastGapMs = isTyped ? leastGapOfTyped(answer.day) : (live?.status?.staleAfterMs ?? ON_CHANGE_MS);
    const now = agentNow(this.app.live.value, this.app.clock.nowMs())!;
    // To the minute, so that the line of now does not creep with each reading.
    const nowMs = Math.floor(now / MINUTE_MS) * MINUTE_MS;
    const of = [series, answer, leastGapMs, now < Date.parse(answer.endAt) ? nowMs : null, formats, times];
    if (this.drawn === null || this.drawn.of.some((one, i) => one !== of[i])) {
      this.drawn = { of, drawing: dayDrawable({ answer, series, leastGapMs, nowMs, formats, times }) };
    }
    return this.drawn.drawing;
  }

  private others({ previous, next, today }: LedgerDayAnswer, times: Times) {
    const link = (date: string | null, text: (date: string) => string, label: (date: string) => string) =>
      date === null
        ? html`<span></span>`
        : html`<a href="/ledger/${date}" aria-label=${label(dateText(date, today, times))}>${text(times.dayMonth(date, today))}</a>`;
    return html`<nav class="others" aria-label=${words.DAYS_BESIDE}>${link(previous, words.previousDay, words.previousLabel)}
      <a href="/ledger">${words.TO_LEDGER}</a>${link(next, words.nextDay, words.nextLabel)}</nav>`;
  }

  private body({ answer }: Loaded, drawing: DayDrawing, formats: Formats, times: Times) {
    const { ledger } = this;
    const told = dayOf(ledger?.days ?? [], answer.date);
    const figures = dayFigures(answer, told, formats, moneyOf(ledger ?? null, formats));
    const went = wentRows(told, formats);
    const live = selectedStation(this.app);
    return html`${this.chart(drawing)}
      <div class="two">
        <section>${figures.length === 0 ? nothing : html`<h2>${words.FIGURES}</h2>${figureTable(words.FIGURES, figures)}`}
          ${ledger === null ? html`<p class="small">${words.FIGURES_MISSING}</p>` : nothing}</section>
        <section>${went.length === 0 ? nothing : html`<h2>${words.WENT}</h2>${figureTable(words.WENT, went)}`}
          ${daylist(words.NOT_RECORDED, gapLines(drawing, times))}
          ${daylist(COUNTER, countedLines(ledger ?? null, formats, times, answer.today))}
          ${daylist(words.OUTAGES, outageLines(answer, formats, times))}
          ${markList(answer, formats, times)}</section>
      </div>
      <day-notes .app=${this.app} .station=${answer.station} .date=${answer.date} .notes=${answer.notes} .times=${times} @changed=${this.again}></day-notes>
      <told-spans .app=${this.app} .station=${answer.station} .date=${answer.date} .spans=${answer.spans.filter(isTelling)} .lasting=${answer.lasting}
        .linked=${live?.station.transport !== 'typed'} .times=${times} @changed=${this.again}></told-spans>
      ${answer.day === null ? nothing : savingPart(SAVE_DAY, { app: this.app, station: answer.station, fromAt: answer.startAt, toAt: answer.endAt })}
      <dated-facts .app=${this.app} .station=${answer.station} @changed=${this.again}></dated-facts>`;
  }

  private chart(drawing: DayDrawing) {
    return customElements.get('time-chart') === undefined
      ? html`<div class="chart-room"></div>`
      : html`<time-chart .drawable=${drawing} .height=${this.narrow.matches ? 340 : 440} .label=${words.DAY_DRAWING}
          .summary=${drawing.summary} .light=${this.app.light.value}></time-chart>`;
  }
}

/** What the agent saw by itself is told from a minute on; that no reading came, only as a gap. */
const isTelling = ({ reason, fromAt, toAt }: LedgerDayAnswer['spans'][number]): boolean =>
  reason !== 'noReading' &&
  (reason !== 'agentDown' || toAt === null || Date.parse(toAt) - Date.parse(fromAt) >= MINUTE_MS);

function gapLines({ gaps }: DayDrawing, times: Times): string[] {
  return gaps.map(({ fromMs, toMs, reason }) => {
    const bounds = `${words.stretch(times.time(fromMs), times.time(toMs))} (${spanText(toMs - fromMs)})`;
    return reason === null ? bounds : `${bounds}: ${reason}`;
  });
}

function outageLines({ outages }: LedgerDayAnswer, formats: Formats, times: Times): string[] {
  const percent = (value: number) => asText(formats.percent(value));
  return outages.map(({ startedAt, endedAt, startPct, endPct }) =>
    words.outageTold(
      times.time(Date.parse(startedAt)),
      endedAt === null ? null : times.time(Date.parse(endedAt)),
      startPct === null || endPct === null ? '' : words.outageLevels(percent(startPct), percent(endPct)),
    ),
  );
}

customElements.define('ledger-day-view', LedgerDayView);
