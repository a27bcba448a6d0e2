/** Ledger: what have I gathered? A sentence, a bar a day, the months in numbers, every day on demand. */

import { css, html, LitElement, nothing } from 'lit';
import type { WireDay } from '#messages';
import { type Formats, formatsFor, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/ledger.ts';
import { ledgerDrawable } from './drawing.ts';
import { type LedgerFigures, ledgerFigures } from './figures.ts';
import { ledgerSentence } from './sentence.ts';
import { dayTable, monthTable } from './tables.ts';

const FIRST_DATE = '2000-01-01';
/** The record is asked again after this long, for what other days gained meanwhile (an import), ms. */
const ASK_AGAIN_MS = 10 * 60_000;

export class LedgerView extends LitElement {
  static override properties = { app: { attribute: false }, days: { state: true }, failed: { state: true } };

  static override styles = [
    shared,
    css`
      time-chart { margin-top: 24px; }
      .chart-room { height: 320px; margin-top: 24px; }
      table { font-size: 17px; }
      th, td { padding: 7px 0 7px 12px; border-bottom: var(--hair-width) solid var(--hair); }
      th:first-child { padding-left: 0; }
      thead th { font-size: 15px; }
      tbody th { color: var(--ink); white-space: nowrap; }
      details { margin-top: 24px; }
      .across { overflow-x: auto; }
      .csv { display: inline-block; margin-top: 24px; padding: 10px 0; }
      @media (max-width: 719px) {
        .chart-room { height: 260px; }
        table { font-size: 15px; }
        thead th { font-size: 13px; vertical-align: bottom; }
        tbody th { white-space: normal; }
        td { white-space: nowrap; }
        th, td { padding-left: 8px; }
      }
    `,
  ];

  declare app: App;
  declare days: WireDay[] | null;
  declare failed: string;

  private asked = '';
  private askedMs = 0;
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.days = null;
    this.failed = '';
    new Listening(this, () => [this.app.live, this.app.selected, this.app.light]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    import('../../charts/time-chart.ts').then(
      () => this.requestUpdate(),
      () => this.requestUpdate(),
    );
  }

  /** Asks the record when the station, the agent's run or the day has changed, or a while has passed. */
  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    const now = this.app.clock.nowMs();
    if (live === null) return;
    const key = `${live.station.id} ${this.app.live.value.hello?.heardMs} ${live.tally?.today.date}`;
    if (key === this.asked && now - this.askedMs < ASK_AGAIN_MS) return;
    if (live.station.id !== this.asked.split(' ')[0]) this.days = null;
    this.asked = key;
    this.askedMs = now;
    void this.load(live.station.id);
  }

  private async load(station: string): Promise<void> {
    const last = new Date((agentNow(this.app.live.value, this.app.clock.nowMs()) ?? 0) + 86_400_000)
      .toISOString()
      .slice(0, 10);
    const answer = await this.app.api.days(station, FIRST_DATE, last);
    if (selectedStation(this.app)?.station.id !== station) return;
    if (answer.ok) this.days = answer.value.days;
    this.failed = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
  }

  protected override render() {
    const live = selectedStation(this.app);
    const formats = formatsFor(this.app.locale, 'C');
    const zone = live?.station.zone ?? this.app.zone;
    const times = timesFor(this.app.locale, zone, this.app.live.value.display.clock);
    if (live === null || this.days === null) {
      const waiting = this.app.live.value.hello === null || live !== null;
      const headline =
        this.failed !== '' ? words.ledgerFailed : waiting ? words.LEDGER_LOADING : words.NOTHING_GATHERED;
      return html`<h1>${headline}</h1><p class="sure">${this.failed}</p>`;
    }
    const today = times.date(agentNow(this.app.live.value, this.app.clock.nowMs())!);
    const figures = ledgerFigures(withToday(this.days, live.tally?.today ?? null), today);
    const { headline, sure } = ledgerSentence(figures, today, formats, times);
    return html`<h1>${headline}</h1>
      <p class="sure">${sure.map(piece => (piece.strong ? html`<b>${piece.text}</b>` : piece.text))}</p>
      ${figures.days.length === 0 ? nothing : this.figures(figures, live.station.id, formats, times)}`;
  }

  private figures(figures: LedgerFigures, station: string, formats: Formats, times: Times) {
    const drawing = ledgerDrawable(figures, formats, times);
    return html`${
      customElements.get('time-chart') === undefined
        ? html`<div class="chart-room"></div>`
        : html`<time-chart .drawable=${drawing} .height=${this.narrow.matches ? 240 : 300} .label=${words.LEDGER_DRAWING}
            .summary=${drawing.summary} .light=${this.app.light.value}></time-chart>`
    }
      <h2>${words.MONTHS}</h2><div class="across" tabindex="0" role="region" aria-label=${words.MONTHS}>${monthTable(figures, formats, times)}</div>
      <a class="csv" href=${this.app.api.daysCsvAddress(station)} download>${words.CSV}</a>
      <details><summary>${words.DAYS}</summary><div class="across" tabindex="0" role="region" aria-label=${words.DAYS}>${dayTable(figures, formats, times)}</div></details>`;
  }
}

/** Today as the agent last told it, in place of the record's older sum. */
export function withToday(days: readonly WireDay[], today: WireDay | null): WireDay[] {
  if (today === null) return [...days];
  return [...days.filter(day => day.date < today.date), today];
}

customElements.define('ledger-view', LedgerView);
