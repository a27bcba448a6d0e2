/** Ledger: what have I gathered, and what could it have been? A sentence, one drawing, the account, months, every day. */

import { html, LitElement, nothing } from 'lit';
import { shiftDate, startOfDate } from '#energy/civil-day';
import { earlierOf, firstPeriod, type Period, type PeriodKind, periodOf } from '#energy/ledger/periods';
import type { LedgerAnswer, WireDay } from '#messages';
import type { MonthWanted } from '../../charts/ledger-chart.ts';
import { type Formats, formatsFor, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { Answer } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { askLedger } from '../../state/ledger.ts';
import { joined, stretchesOf } from '../../state/ledger-joined.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow, type StationLive } from '../../state/live.ts';
import { type Choices, keptChoices } from '../../state/storage.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/ledger.ts';
import { SAVE_STRETCH } from '../../words/ledger-saving.ts';
import { type Account, restPart, why, whyYields, worthPart } from './account.ts';
import { besideAddress, dayAddress } from './addresses.ts';
import { countedPart } from './counted.ts';
import { ledgerShown } from './drawing.ts';
import { type LedgerFigures, type ListedDay, ledgerFigures, listDays, withToday } from './figures.ts';
import { happenedList } from './happened-list.ts';
import { ledgerViewStyles } from './ledger-styles.ts';
import { periodChoice } from './period-choice.ts';
import { savingPart } from './saving-part.ts';
import { ledgerSentence } from './sentence.ts';
import { dayTable, sumTable } from './tables.ts';
import '../../charts/ledger-chart.ts';

/** The record is asked again after this long, for what other days gained meanwhile (an import), ms. */
const ASK_AGAIN_MS = 10 * 60_000;

/** What was looked at last, so that the way back from a day leads there. */
let lookedAt: Period | null = null;

/** What the agent told last of a day that runs, so that coming back to the Ledger shows it at once. */
let latestToday: { answer: LedgerAnswer; heardMs: number } | null = null;

function recentToday({ station, zone, today }: LedgerAnswer, nowMs: number): LedgerAnswer | null {
  if (latestToday === null || nowMs - latestToday.heardMs > ASK_AGAIN_MS) return null;
  const { answer } = latestToday;
  return answer.station === station && answer.zone === zone && answer.today === today ? answer : null;
}

/** Working today out takes a processor away from the drawing. A page that is not seen paints nothing, and is not waited for. */
const framePainted = (): Promise<void> =>
  new Promise(done => {
    if (document.hidden) done();
    else requestAnimationFrame(() => setTimeout(done));
  });

/** An answer with the stretch that was asked for. */
interface Heard {
  answer: LedgerAnswer;
  period: Period;
}

/** Everything made from one answer and one today: kept until either changes. */
interface Made {
  heard: Heard;
  today: WireDay | null;
  account: Account;
  shown: ReturnType<typeof ledgerShown> | null;
}

export class LedgerView extends LitElement {
  static override properties = {
    app: { attribute: false },
    heard: { state: true },
    failed: { state: true },
    period: { state: true },
    listed: { state: true },
  };
  static override styles = [shared, ledgerViewStyles];

  declare app: App;
  declare heard: Heard | null;
  declare failed: string;
  declare period: Period | null;
  /** The list of every day was opened: only then it is made. */
  declare listed: boolean;
  private asked = '';
  private askedMs = 0;
  private made: Made | null = null;
  private choices: Choices | null = null;
  /** Known with the first frame, while the answer is waited for. */
  private roomPx = 0;
  private readonly room = new ResizeObserver(([entry]) => {
    this.roomPx = entry!.contentRect.width;
  });

  constructor() {
    super();
    this.heard = null;
    this.failed = '';
    this.period = lookedAt;
    this.listed = false;
    new Listening(this, () => [this.app.live, this.app.selected, this.app.light]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.choices = keptChoices(() => localStorage);
    this.room.observe(this);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.room.disconnect();
  }

  /** Asks when the station, the stretch, the agent's run or the day has changed, or a while has passed. */
  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    const now = this.app.clock.nowMs();
    const at = agentNow(this.app.live.value, now);
    if (live === null || at === null) return;
    const today = this.timesOf(live).date(at);
    this.period ??= firstPeriod(today, this.choices?.read('ledger.period') ?? null);
    const to = earlierOf(this.period.to, today);
    const key = `${live.station.id} ${this.period.from} ${to} ${this.app.live.value.hello?.heardMs}`;
    if (key === this.asked && now - this.askedMs < ASK_AGAIN_MS) return;
    if (this.heard?.answer.station !== live.station.id) this.heard = null;
    this.asked = key;
    this.askedMs = now;
    void this.load(live.station.id, this.period, stretchesOf(this.period.from, to, today), key);
  }

  /** The days that are over are shown as soon as they are there; then today's own figures are asked for. */
  private async load(station: string, period: Period, stretches: ReturnType<typeof stretchesOf>, key: string) {
    const [over, running] = stretches;
    const found = await askLedger(this.app.api, station, ...over);
    if (running === undefined || !found.ok) return this.show(found, period, key);
    const before = recentToday(found.value, this.app.clock.nowMs());
    if (before !== null) this.show({ ...found, value: joined(found.value, before) }, period, key);
    // Where nothing is over yet, today is all.
    else if (found.value.days.length > 0) this.show(found, period, key);
    await this.updateComplete;
    await framePainted();
    if (key !== this.asked) return;
    const today = await askLedger(this.app.api, station, ...running);
    if (today.ok) latestToday = { answer: today.value, heardMs: this.app.clock.nowMs() };
    this.show(today.ok ? { ...today, value: joined(found.value, today.value) } : today, period, key);
  }

  private show(found: Answer<LedgerAnswer>, period: Period, key: string): void {
    // A newer question is on its way.
    if (key !== this.asked) return;
    if (found.ok) this.heard = { answer: found.value, period };
    this.failed = found.ok ? '' : `${found.refusal.message} ${found.refusal.fix}`;
  }

  private timesOf({ station }: StationLive): Times {
    return timesFor(this.app.locale, station.zone, this.app.live.value.display.clock);
  }

  private choose(period: Period): void {
    this.period = period;
    lookedAt = period;
  }

  private chooseKind(kind: PeriodKind, today: string): void {
    this.choices?.keep('ledger.period', kind);
    this.choose(periodOf(kind, today));
  }

  protected override render() {
    const live = selectedStation(this.app);
    const { heard, period } = this;
    if (live === null || heard === null || period === null) {
      const waiting = this.app.live.value.hello === null || live !== null;
      const headline =
        this.failed !== '' ? words.ledgerFailed : waiting ? words.LEDGER_LOADING : words.NOTHING_GATHERED;
      return html`<h1>${headline}</h1><p class="sure">${this.failed}</p>`;
    }
    const { answer } = heard;
    const { account, shown } = this.make(live, heard);
    const { figures, formats, times } = account;
    const { headline, sure } = ledgerSentence(figures, account.period, answer, formats, times);
    return html`<h1>${headline}</h1>
      <p class="sure">${sure.map(piece => (piece.strong ? html`<b>${piece.text}</b>` : piece.text))}</p>
      ${this.failed === '' ? nothing : html`<p class="wrong" role="alert">${this.failed}</p>`}
      ${periodChoice(period, answer.today, times, {
        kind: kind => this.chooseKind(kind, answer.today),
        period: next => this.choose(next),
      })}
      ${
        shown === null
          ? nothing
          : html`<ledger-chart .shown=${shown} .roomPx=${this.roomPx} .light=${this.app.light.value}
              @month-wanted=${(event: MonthWanted) => this.choose(periodOf('month', event.detail))}></ledger-chart>
              ${this.accounts(account)}${this.numbers(account, live.station)}`
      }`;
  }

  /** Asked with every reading; made anew only where the answer or today's sum has changed. */
  private make(live: StationLive, heard: Heard): Made {
    const { answer, period } = heard;
    const running = period.to >= answer.today;
    const today = running ? (live.tally?.today ?? null) : null;
    const { made } = this;
    if (made !== null && made.heard === heard && made.today === today) return made;
    const formats = formatsFor(this.app.locale, 'C');
    const times = this.timesOf(live);
    const figures = ledgerFigures(listDays(answer, withToday(answer.days, today), period.to));
    const simulated = this.app.live.value.hello?.demo === true;
    const account: Account = { figures, answer, period, running, simulated, formats, times };
    const shown = figures.days.length === 0 ? null : ledgerShown(figures, answer, formats, times);
    this.made = { heard, today, account, shown };
    return this.made;
  }

  private accounts(account: Account) {
    return html`<div class="sides"><div>${restPart(account)}</div><div>${this.extremes(account)}${worthPart(account)}${countedPart(account.answer, account.formats, account.times, account.answer.today)}</div></div>`;
  }

  private extremes({ figures, formats, times }: Account) {
    const { best, worst } = figures;
    if (best === null || worst === null) return nothing;
    const day = (listed: ListedDay) =>
      html`<a href=${dayAddress(listed.date)}>${times.dayMonth(listed.date, figures.days.at(-1)!.date)}</a>, ${energyOf(listed, formats)}.`;
    return html`<section><h2>${words.EXTREMES}</h2><p>${words.bestDay}${day(best)} ${words.worstDay}${day(worst)}</p></section>`;
  }

  private numbers(account: Account, { id: station, zone }: StationLive['station']) {
    const { figures, formats, times } = account;
    return html`<div class="below"><h2>${words.SUMS}</h2>
        <div class="across" tabindex="0" role="region" aria-label=${words.SUMS}>${sumTable(figures, formats, times)}</div>
        ${why(whyYields(account))}${happenedList(account)}
        <details class="every" @toggle=${(event: Event) => {
          this.listed = (event.target as HTMLDetailsElement).open;
        }}><summary>${words.DAYS}</summary>${this.listed ? this.everyDay(figures, formats, times) : nothing}</details>
        ${savingPart(SAVE_STRETCH, { app: this.app, station, ...boundsOf(figures, zone) })}
        <div class="ways"><a href=${besideAddress(station, figures.days)}>${words.BESIDE}</a>
          <a href=${this.app.api.daysCsvAddress(station, ...datesOf(figures))} download>${words.CSV}</a></div></div>`;
  }

  private everyDay(figures: LedgerFigures, formats: Formats, times: Times) {
    return html`<div class="across" tabindex="0" role="region" aria-label=${words.DAYS}>${dayTable(figures, formats, times)}</div>`;
  }
}

const datesOf = ({ days }: LedgerFigures): [from: string, to: string] => [days[0]!.date, days.at(-1)!.date];

/** The instants where the days begin and end. */
function boundsOf(figures: LedgerFigures, zone: string): { fromAt: string; toAt: string } {
  const [from, to] = datesOf(figures);
  const startOf = (date: string) => new Date(startOfDate(date, zone)).toISOString();
  return { fromAt: startOf(from), toAt: startOf(shiftDate(to, 1)) };
}

const energyOf = ({ day }: ListedDay, formats: Formats): string => {
  const { text, unit } = formats.energy(day?.solarWh ?? null);
  return `${text}\u00a0${unit}`;
};

customElements.define('ledger-view', LedgerView);
