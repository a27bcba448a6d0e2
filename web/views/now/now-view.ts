/**
 * Now: how long does this last, or when is it full? A sentence, how sure, one drawing, a small table. The drawing is
 * redrawn a few times a minute; only ages and figures tick each second.
 */
import { css, html, LitElement, nothing } from 'lit';
import { formatsFor, timesFor } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words.ts';
import './almanac-table.ts';
import { asksForSource, asksForUnits } from './asks.ts';
import { need } from './at-need.ts';
import { type NowDrawing, nowDrawable } from './drawing.ts';
import type { GapsTold } from './gap-told.ts';
import { type Sentence, sentenceOf } from './sentence.ts';
import { mayPromise, type Situation, situationOf } from './situation.ts';
import { typedForm } from './typed-part.ts';

/** Redraws no more often than this, ms. */
const REDRAW_MS = 10_000;
/** As far back as a gap on the drawing may begin, ms. */
const GAPS_BEHIND_MS = 24 * 3_600_000;
/** Nothing comes from the station. */
const SILENT: readonly Situation['freshness'][] = ['none', 'stale', 'disconnected'];
/** A meaning that only moved is told aloud no more often than this, ms. */
const TELL_AGAIN_MS = 60_000;

export class NowView extends LitElement {
  static override properties = { app: { attribute: false }, open: { state: true }, aloud: { state: true } };

  static override styles = [
    shared,
    css`
      .words { min-height: 128px; }
      .why { margin: 12px 0 0; padding: 0 0 0 16px; border-left: 3px solid var(--hair); color: var(--soft); max-width: 72ch; }
      .why p { margin: 4px 0; }
      .steps { margin: 16px 0 24px; padding-left: 24px; font-size: 19px; line-height: 1.5; max-width: 60ch; }
      .over { margin: 12px 0 0; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); max-width: 90ch; }
      .over p { margin: 0 0 4px; }
      time-chart { margin-top: 14px; }
      .chart-room { height: 400px; margin-top: 14px; }
      @media (max-width: 719px) {
        .words { min-height: 0; }
        time-chart { margin-top: 14px; margin-inline: -4px; }
        .chart-room { height: 346px; margin-top: 14px; }
      }
    `,
  ];

  declare app: App;
  declare open: boolean;
  /** What screen readers were told last. */
  declare aloud: string;

  private summary: typeof import('./outage-summary.ts') | null = null;
  private chain: typeof import('./why.ts') | null = null;
  private parts: typeof import('./parts-told.ts') | null = null;
  private gapsTold: GapsTold | null = null;
  private gapsAsked = '';
  private meaning = '';
  private toldMs = Number.NEGATIVE_INFINITY;
  private drawing: NowDrawing | null = null;
  private drawnFor = '';
  private drawnMs = Number.NEGATIVE_INFINITY;
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.open = false;
    this.aloud = '';
    new Listening(this, () => {
      const { connection, live, selected, light, outage, tick, past } = this.app;
      return [connection, live, selected, light, outage, tick, past.loads];
    });
  }

  override connectedCallback(): void {
    super.connectedCallback();
    import('../../charts/time-chart.ts').then(
      () => this.requestUpdate(),
      () => this.requestUpdate(),
    );
  }

  private situation(): Situation {
    const { app } = this;
    const zone = app.live.value.stations.find(s => s.station.id === app.selected.value) ?? app.live.value.stations[0];
    return situationOf({
      connection: app.connection.value,
      live: app.live.value,
      selected: app.selected.value,
      nowMs: app.clock.nowMs(),
      outage: app.outage.value,
      formats: formatsFor(app.locale, app.live.value.display.temperature),
      times: timesFor(app.locale, zone?.station.zone ?? app.zone, app.live.value.display.clock),
    });
  }

  protected override render() {
    const s = this.situation();
    const sentence = this.sentence(s);
    return html`
      <div class="words">
        <h1>${sentence.headline}</h1>
        <p class="sure">${sentence.sure.map(piece => (piece.strong ? html`<b>${piece.text}</b>` : piece.text))}
          ${this.whyButton(sentence)}${this.away(s)}</p>
        ${this.open && sentence.offers === 'why' && this.chain !== null ? this.why(s, this.chain) : nothing}
        ${this.offered(s, sentence)}
        ${this.outageOver(s)}
      </div>
      <p class="unseen" role="status">${this.aloud}</p>
      ${s.live === null ? nothing : this.figures(s)}`;
  }

  /** What is said of missing parts is fetched when one is missing. */
  private sentence(s: Situation): Sentence {
    if (this.parts === null && s.live?.status?.parts?.some(part => part.missing)) {
      import('./parts-told.ts').then(
        parts => {
          this.parts = parts;
          this.requestUpdate();
        },
        () => undefined,
      );
    }
    return sentenceOf(s, this.parts?.partsTold ?? null);
  }

  private whyButton(sentence: Sentence) {
    if (sentence.offers !== 'why') return nothing;
    return html`<button class="word" type="button" aria-expanded=${this.open ? 'true' : 'false'} aria-controls="why"
      @click=${() => {
        this.open = !this.open;
        this.fetchWhy();
      }}>${words.WHY}</button>`;
  }

  /** Fetched when first asked for; asked again, it is tried again. */
  private fetchWhy(): void {
    if (this.chain !== null) return;
    import('./why.ts').then(
      chain => {
        this.chain = chain;
        this.requestUpdate();
      },
      () => undefined,
    );
  }

  private why(s: Situation, { whyLines }: typeof import('./why.ts')) {
    return html`<div class="why" id="why" role="group" aria-label=${words.WHY_TITLE}>${whyLines(s).map(line => html`<p>${line}</p>`)}</div>`;
  }

  private offered(s: Situation, sentence: Sentence) {
    if (sentence.offers === 'steps') {
      return html`<ol class="steps">${words.NO_STATION_STEPS.map(step => html`<li>${step}</li>`)}</ol>
        <a href="/setup">${words.TO_SETUP}</a>`;
    }
    if (sentence.offers === 'setup') return html`<p><a href="/setup#battery">${words.TO_SETUP}</a></p>`;
    if (sentence.offers === 'retryAgent') {
      return html`<p><button type="button" @click=${() => this.app.retry()}>${words.TRY_NOW}</button></p>`;
    }
    if (sentence.offers === 'takeUp' && s.live !== null) {
      const { id } = s.live.station;
      return html`<p><button type="button" @click=${() => void this.app.api.retry(id)}>${words.TAKE_UP}</button></p>`;
    }
    if (sentence.offers === 'retry' && s.live !== null) {
      const { id } = s.live.station;
      return html`<p><button type="button" @click=${() => void this.app.api.retry(id)}>${words.TRY_NOW}</button></p>`;
    }
    return nothing;
  }

  /** Outages are rare: what is said of one is fetched when there is one. */
  private outageOver(s: Situation) {
    if (s.outage === null || s.outage.endedAt === null) return nothing;
    if (this.summary !== null) return this.summary.outageSummary(s, () => this.app.putOutageAway());
    import('./outage-summary.ts').then(
      summary => {
        this.summary = summary;
        this.requestUpdate();
      },
      () => undefined,
    );
    return nothing;
  }

  private questions(s: Situation) {
    if (asksForUnits(s)) {
      need('unit-question');
      return html`<unit-question .app=${this.app} .situation=${s}></unit-question>`;
    }
    if (!asksForSource(s)) return nothing;
    need('source-question');
    return html`<source-question .app=${this.app} .situation=${s}></source-question>`;
  }

  /** Where a station that says nothing is, as far as the owner said so. */
  private away({ live, freshness, nowAt, times }: Situation): string {
    const told = this.gapsTold;
    if (!SILENT.includes(freshness) || nowAt === null || told === null || told.station !== live?.station.id) return '';
    return ` ${told.away(times, nowAt)}`;
  }

  /** Why nothing was or is recorded: asked once there is something to explain; the drawing is made anew with it. */
  private askGaps({ live, freshness, nowAt }: Situation, gaps: number): void {
    const isSilent = SILENT.includes(freshness);
    if (live === null || nowAt === null || (gaps === 0 && !isSilent)) return;
    const { id } = live.station;
    const key = [id, gaps, isSilent, this.app.past.loads.value].join(' ');
    if (key === this.gapsAsked) return;
    this.gapsAsked = key;
    import('./gap-told.ts')
      .then(({ gapsTold }) => gapsTold(this.app.api, id, nowAt - GAPS_BEHIND_MS, nowAt))
      .then(
        told => {
          this.gapsTold = told;
          this.drawnFor = '';
          this.requestUpdate();
        },
        () => undefined,
      );
  }

  private figures(s: Situation) {
    const drawing = this.drawingFor(s);
    this.askGaps(s, drawing?.gaps.length ?? 0);
    return html`
      ${this.questions(s)}
      ${
        drawing === null || customElements.get('time-chart') === undefined
          ? html`<div class="chart-room"></div>`
          : html`<time-chart .drawable=${drawing} .height=${drawing.heightPx} .label=${words.DRAWING}
            .summary=${drawing.summary} .light=${this.app.light.value}></time-chart>`
      }
      <almanac-table .situation=${s} .drawing=${drawing}></almanac-table>
      ${typedForm(this.app, s)}`;
  }

  /** The drawing kept until something in it could have changed. */
  private drawingFor(s: Situation): NowDrawing | null {
    const { live, nowAt } = s;
    const history = live === null ? null : this.app.past.of(live.station.id);
    if (live === null || nowAt === null || history === null) return null;
    const projection = mayPromise(s) ? live.projection : null;
    const width = Math.max(280, this.clientWidth);
    const key = [
      live.station.id,
      width,
      this.narrow.matches,
      projection?.madeAt,
      projection?.toward,
      history.startMs,
      this.app.past.loads.value,
      live.station.reserveFloorPct,
      s.times.zone,
      this.app.live.value.display.clock,
    ].join(' ');
    const due = s.nowMs - this.drawnMs >= REDRAW_MS;
    if (this.drawing !== null && key === this.drawnFor && !due) return this.drawing;
    this.drawnFor = key;
    this.drawnMs = s.nowMs;
    this.drawing = nowDrawable(
      {
        history,
        station: live.station,
        staleAfterMs: live.status?.staleAfterMs ?? null,
        projection,
        nowAt,
        reasonOf: this.gapsTold?.station === live.station.id ? this.gapsTold.reasonOf : null,
        formats: s.formats,
        times: s.times,
      },
      this.narrow.matches,
    );
    return this.drawing;
  }

  /** Tells a new meaning once; one that only shifted waits. */
  protected override updated(): void {
    const s = this.situation();
    const sentence = this.sentence(s);
    if (sentence.meaning === this.meaning) return;
    const sameKind = sentence.meaning.split(' ')[0] === this.meaning.split(' ')[0];
    if (sameKind && s.nowMs - this.toldMs < TELL_AGAIN_MS) return;
    this.meaning = sentence.meaning;
    this.toldMs = s.nowMs;
    this.aloud = sentence.headline;
  }
}

customElements.define('now-view', NowView);
