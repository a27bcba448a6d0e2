/** Outlast: will it last until I need it to; how much may I use, what could I add or leave off? */
import { html, LitElement, nothing } from 'lit';
import type { LoadSettings, OutlastAnswer, WireLoad } from '#messages';
import { outlastDrawing, outlastDrawingStyles } from '../../charts/outlast-drawing.ts';
import { asText, formatsFor, spanText, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { ageMs, freshness } from '../../state/freshness.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow, type StationLive } from '../../state/live.ts';
import { settingsApi } from '../../state/settings-api.ts';
import { type Choices, keptChoices } from '../../state/storage.ts';
import { shared } from '../../styles/shared.ts';
import { OWN_RECORD } from '../../words/judging.ts';
import { OUTAGES } from '../../words/outages.ts';
import * as words from '../../words/outlast.ts';
import { captionOf, drawingSays, outlastLayout } from './drawing.ts';
import { earlier, sunTomorrow, toGetThere, together, wattsFields } from './helping.ts';
import type { Named } from './load-name.ts';
import { loadsTable, nameOf } from './loads-table.ts';
import { type AddedSource, type Asked, outlastAddress, outlastApi, type Sky } from './outlast-api.ts';
import { outlastViewStyles } from './outlast-styles.ts';
import { outlastSentence, type Told } from './sentence.ts';
import { daysFrom, instantOf, isTime, nextTarget, type Target } from './target.ts';
import { weekTable } from './week.ts';
import { whyLines } from './why.ts';
import './judge-me.ts';
import './load-name.ts';
import './outage-list.ts';

/** The answer is asked for again after this long, ms. */
const ASK_AGAIN_MS = 30_000;
const LEAST_PX = 288;
const OPEN_WEEK: readonly Sky[] = Array(7).fill('open');
const NO_TEXTS: Readonly<Record<AddedSource, string>> = { generator: '', vehicle: '', wall: '' };

export class OutlastView extends LitElement {
  static override properties = {
    app: { attribute: false },
    answer: { state: true },
    failed: { state: true },
    target: { state: true },
    floorText: { state: true },
    skies: { state: true },
    watts: { state: true },
    other: { state: true },
    naming: { state: true },
    widthPx: { state: true },
  };
  static override styles = [shared, outlastDrawingStyles, outlastViewStyles];

  declare app: App;
  declare answer: OutlastAnswer | null;
  declare failed: string;
  /** As the owner set it; null: the next morning. */
  declare target: Target | null;
  declare floorText: string | null;
  declare skies: readonly Sky[];
  declare watts: Readonly<Record<AddedSource, string>>;
  declare other: string | null;
  declare naming: number | null;
  declare widthPx: number;
  private asked = '';
  private askedMs = Number.NEGATIVE_INFINITY;
  private choices: Choices | null = null;
  private readonly narrow = matchMedia('(max-width: 719px)');
  private readonly resized = new ResizeObserver(entries => {
    const width = Math.floor(entries.at(-1)?.contentRect.width ?? 0);
    if (width > 0) this.widthPx = Math.max(LEAST_PX, width);
  });

  constructor() {
    super();
    this.answer = null;
    this.failed = '';
    this.target = null;
    this.floorText = null;
    this.skies = OPEN_WEEK;
    this.watts = NO_TEXTS;
    this.other = null;
    this.naming = null;
    this.widthPx = 0;
    new Listening(this, () => [this.app.live, this.app.selected, this.app.connection, this.app.tick]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.choices = keptChoices(() => localStorage);
    const kept = (source: AddedSource) => this.choices?.read(`outlast.${source}W`) ?? '';
    this.watts = { generator: kept('generator'), vehicle: kept('vehicle'), wall: kept('wall') };
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.resized.disconnect();
  }

  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    const asked = live === null ? null : this.question(live);
    if (live === null || asked === null) return;
    const key = outlastAddress(live.station.id, asked);
    const nowMs = this.app.clock.nowMs();
    if (key === this.asked && nowMs - this.askedMs < ASK_AGAIN_MS) return;
    if (this.answer !== null && this.answer.station !== live.station.id) {
      this.answer = null;
      this.naming = null;
    }
    this.asked = key;
    this.askedMs = nowMs;
    void this.load(live.station.id, asked, key);
  }

  protected override updated(): void {
    const room = this.renderRoot.querySelector('.room');
    if (room !== null) this.resized.observe(room);
  }

  private async load(station: string, asked: Asked, key: string): Promise<void> {
    const found = await outlastApi(this.app.api).ask(station, asked);
    // A newer question is on its way.
    if (key !== this.asked) return;
    if (found.ok) this.answer = found.value;
    this.failed = found.ok ? '' : `${found.refusal.message} ${found.refusal.fix}`;
  }

  /** What is to be asked now; null where the target makes no sense. */
  private question(live: StationLive): Asked | null {
    const nowAt = agentNow(this.app.live.value, this.app.clock.nowMs());
    if (nowAt === null) return null;
    const { zone } = live.station;
    const untilAt = instantOf(this.targetAt(nowAt, zone), zone);
    if (untilAt <= nowAt || !(this.floorOf(live) >= 0)) return null;
    const watts = (source: AddedSource) => wattsOf(this.watts[source]);
    return {
      untilAt,
      floorPct: this.floorText === null ? null : this.floorOf(live),
      skies: this.skies,
      watts: { generator: watts('generator'), vehicle: watts('vehicle'), wall: watts('wall') },
      with: this.app.live.value.stations.some(s => s.station.id === this.other) ? this.other : null,
    };
  }

  private targetAt(nowAt: number, zone: string): Target {
    return this.target ?? nextTarget(nowAt, zone, this.choices?.read('outlast.until') ?? undefined);
  }

  /** NaN where what was typed is no floor. */
  private floorOf({ station }: StationLive): number {
    if (this.floorText === null) return station.reserveFloorPct;
    const pct = /^\d{1,2}$/.test(this.floorText.trim()) ? Number(this.floorText) : Number.NaN;
    return pct <= 90 ? pct : Number.NaN;
  }

  protected override render() {
    const live = selectedStation(this.app);
    const nowMs = this.app.clock.nowMs();
    const nowAt = agentNow(this.app.live.value, nowMs);
    if (live === null || nowAt === null) {
      const none = live === null && this.app.live.value.hello !== null;
      return html`<h1>${none ? words.NO_STATION : words.LOADING}</h1>
        ${none ? html`<p class="sure"><a href="/setup">${words.OPEN_SETUP}</a></p>` : nothing}`;
    }
    const times = timesFor(this.app.locale, live.station.zone, this.app.live.value.display.clock);
    const formats = formatsFor(this.app.locale, 'C');
    const { answer } = this;
    if (answer === null)
      return html`<h1>${this.failed === '' ? words.LOADING : words.FAILED}</h1>
        <p class="sure">${this.failed}</p>${this.asks(live, nowAt, times)}`;
    const fresh = freshness(live, this.app.connection.value, nowMs);
    const gone = this.app.connection.value.phase === 'lost' || fresh === 'stale' || fresh === 'disconnected';
    const told: Told = { answer, nowAt, staleMs: gone ? (ageMs(live, nowMs) ?? 'never') : null, formats, times };
    const { headline, sure } = outlastSentence(told);
    return html`<h1>${headline}</h1>
      <div class="line"><p class="sure">${sure.map(piece => (piece.strong ? html`<b>${piece.text}</b>` : piece.text))}</p>
        ${this.asks(live, nowAt, times)}</div>
      ${this.failed === '' ? nothing : html`<p class="wrong" role="alert">${this.failed}</p>`}
      ${answer.loads.map(load => (load.quietMin === null ? nothing : html`<p class="wrong quiet">${words.quiet(nameOf(load, formats), spanText(load.quietMin * 60_000))}</p>`))}
      ${gone || answer.chances === null ? nothing : this.drawing(live, told)}
      <div class="sides">
        <div>${this.loads(told)}<p><a href="/outlast/plan">${words.GO_TO_PLAN}</a></p></div>
        <div>${gone ? nothing : this.help(told)}
          <h2>${words.EARLIER}</h2>${gone ? nothing : html`<p>${earlier(answer)}</p>`}</div>
      </div>
      ${gone || answer.chances === null ? nothing : this.ahead(told)}
      ${this.reserve(live, told, gone)}
      <div class="below"><details><summary>${words.WHY}</summary><ul>${whyLines(answer, formats).map(line => html`<li>${line}</li>`)}</ul></details>
        <h2>${OWN_RECORD}</h2><judge-me .app=${this.app} .station=${live.station.id} .zone=${live.station.zone}></judge-me>
        <h2>${OUTAGES}</h2><outage-list .app=${this.app} .station=${live.station.id} .zone=${live.station.zone}></outage-list>
        <h2>${words.SAFETY}</h2><ul class="small">${words.SAFETY_LINES.map(line => html`<li>${line}</li>`)}</ul></div>`;
  }

  private asks(live: StationLive, nowAt: number, times: Times) {
    const { zone } = live.station;
    const target = this.targetAt(nowAt, zone);
    const past = instantOf(target, zone) <= nowAt;
    const days = daysFrom(nowAt, zone);
    return html`<div class="question">
      <label>${words.UNTIL} <select aria-label=${words.UNTIL_DAY} @change=${(event: Event) => this.aim({ ...target, date: (event.target as HTMLSelectElement).value })}>
        ${days.map((date, i) => html`<option value=${date} .selected=${date === target.date}>${i === 0 ? words.today : i === 1 ? words.tomorrow : times.weekday(date)}</option>`)}
      </select></label>
      <input type="time" aria-label=${words.UNTIL_TIME} .value=${target.time} aria-invalid=${past ? 'true' : 'false'}
        @change=${(event: Event) => this.aim({ ...target, time: (event.target as HTMLInputElement).value })}>
      <label>${words.FLOOR} <input class="floor" inputmode="numeric" autocomplete="off" .value=${this.floorText ?? String(live.station.reserveFloorPct)}
        aria-invalid=${this.floorOf(live) >= 0 ? 'false' : 'true'} @change=${(event: Event) => {
          this.floorText = (event.target as HTMLInputElement).value;
        }}></label>
      ${past ? html`<p class="wrong">${words.TIME_WRONG}</p>` : nothing}
      ${this.floorOf(live) >= 0 ? nothing : html`<p class="wrong">${words.FLOOR_WRONG}</p>`}
    </div>`;
  }

  private aim(target: Target): void {
    if (!isTime(target.time)) return;
    this.target = target;
    this.choices?.keep('outlast.until', target.time);
  }

  private drawing(live: StationLive, { answer, nowAt, formats, times }: Told) {
    const says = drawingSays(answer, nowAt, times);
    return html`<figure aria-label=${words.DRAWING}><div class="room">${this.widthPx === 0 ? nothing : outlastDrawing(outlastLayout(answer, live.station.place, times, this.widthPx, this.narrow.matches ? 200 : 230), says, words.STILL_RUNNING)}</div>
      <figcaption>${captionOf(answer, nowAt, formats, times).map((text, i) => html`${i === 0 ? '' : ' · '}${text}`)}</figcaption></figure>`;
  }

  private loads({ answer, nowAt, formats, times }: Told) {
    return loadsTable({
      answer,
      nowAt,
      formats,
      times,
      naming: this.naming,
      name: row => {
        this.naming = row;
      },
      form: load => html`<load-name .load=${load} .watts=${asText(formats.power(load.powerW))}
        @named=${(event: Named) => void this.keepName(load, event.detail)} @cancelled=${() => {
          this.naming = null;
        }}></load-name>`,
    });
  }

  /** The whole list is sent: the agent keeps it as the station's. */
  private async keepName(load: WireLoad, named: LoadSettings | null): Promise<void> {
    const station = this.answer!.station;
    const told = await settingsApi(this.app.api).ofStation(station);
    if (!told.ok) {
      this.failed = `${told.refusal.message} ${told.refusal.fix}`;
      return;
    }
    const others = told.value.load.filter(l => l.name !== load.name);
    const kept = await outlastApi(this.app.api).name(station, named === null ? others : [...others, named]);
    this.failed = kept.ok ? '' : `${kept.refusal.message} ${kept.refusal.fix}`;
    if (!kept.ok) return;
    this.naming = null;
    this.askedMs = Number.NEGATIVE_INFINITY;
    this.requestUpdate();
  }

  private help({ answer, formats }: Told) {
    const wrong = (source: AddedSource) =>
      this.watts[source].trim() === '' || wattsOf(this.watts[source]) !== null ? '' : words.WATTS_WRONG;
    return html`${
      answer.chances === null
        ? nothing
        : html`<h2>${words.GET_THERE}</h2>${toGetThere(answer, formats)}
            ${wattsFields({
              texts: this.watts,
              wrong: { generator: wrong('generator'), vehicle: wrong('vehicle'), wall: wrong('wall') },
              take: (source, text) => {
                this.watts = { ...this.watts, [source]: text };
                this.choices?.keep(`outlast.${source}W`, text.trim() === '' ? null : text.trim());
              },
            })}
            <h2>${words.SUN_TOMORROW}</h2>${sunTomorrow(answer, formats)}`
    }`;
  }

  private ahead({ answer, formats, times }: Told) {
    const choose = (day: number, sky: Sky) => {
      this.skies = this.skies.map((kept, i) => (i === day ? sky : kept));
    };
    return html`<div class="below"><h2>${words.WEEK}</h2><p class="ask">${words.WEEK_WHY}</p>
      <div class="across" tabindex="0" role="region" aria-label=${words.WEEK}>${weekTable(answer, this.skies, formats, times, choose)}</div></div>`;
  }

  private reserve(live: StationLive, { answer, nowAt, formats, times }: Told, gone: boolean) {
    const others = this.app.live.value.stations.map(s => s.station).filter(s => s.id !== live.station.id);
    if (others.length === 0) return nothing;
    return html`<div class="below"><h2>${words.TOGETHER}</h2>
      <div class="question"><label>${words.WITH} <select @change=${(event: Event) => {
        this.other = (event.target as HTMLSelectElement).value || null;
      }}><option value="">${words.ALONE}</option>
        ${others.map(({ id, name }) => html`<option value=${id} .selected=${id === this.other}>${name}</option>`)}</select></label></div>
      ${gone ? nothing : together(answer, formats, times, nowAt)}</div>`;
  }
}

/** Watts typed; null where none or no such number. */
function wattsOf(text: string): number | null {
  const clean = text.trim();
  const watts = /^\d{1,5}$/.test(clean) ? Number(clean) : 0;
  return watts >= 1 && watts <= 20_000 ? watts : null;
}

customElements.define('outlast-view', OutlastView);
