/** Aim: is this spot better than the last one? The figure, one sentence, the last minutes, the marks, and two big acts. */
import { html, LitElement, nothing } from 'lit';
import * as v from 'valibot';
import { type AimAnswer, type StationSettings, WireAim, type WireMark } from '#messages';
import { asText, type Formats, formatsFor, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { ageMs, freshness } from '../../state/freshness.ts';
import { Listening } from '../../state/listening.ts';
import { may, type StationLive } from '../../state/live.ts';
import { settingsApi } from '../../state/settings-api.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/aim.ts';
import { WHY } from '../../words/aim-why.ts';
import { aimApi, refusedText } from './aim-api.ts';
import { AimSound } from './aim-sound.ts';
import { aimStyles } from './aim-styles.ts';
import { type DayLight, dayLight } from './daylight.ts';
import { giveOrTake } from './figure-text.ts';
import { wattsOf } from './quantity.ts';
import { stayAwake, wakeOf } from './stay-awake.ts';
import { staleVerdict, typedVerdict, type Verdict, verdictOf, waitingVerdict } from './verdict.ts';
import { whyLines } from './why.ts';
import './aim-figure.ts';
import './aim-marks.ts';
import './aim-minutes.ts';
import './aim-standing.ts';

/** Spots and pointing are asked for again after this long, ms. */
const ASK_AGAIN_MS = 20_000;
/** What came of a tap is said this long, ms. */
const TOLD_MS = 12_000;
const LOOPBACK = ['127.0.0.1', 'localhost', '[::1]'];

export class AimView extends LitElement {
  static override properties = {
    app: { attribute: false },
    answer: { state: true },
    panels: { state: true },
    told: { state: true },
    busy: { state: true },
    aloud: { state: true },
    sleeps: { state: true },
    open: { state: true },
  };
  static override styles = [shared, aimStyles];

  declare app: App;
  declare answer: AimAnswer | null;
  declare panels: StationSettings['panel'];
  /** What came of the last tap on Mark. */
  declare told: { text: string; wrong: boolean; sinceMs: number } | null;
  declare busy: boolean;
  /** What screen readers were told last. */
  declare aloud: string;
  declare sleeps: boolean;
  /** The chain behind the sentence is shown. */
  declare open: boolean;
  private station = '';
  private askedMs = Number.NEGATIVE_INFINITY;
  private meaning = '';
  private parsed: { raw: unknown; aim: WireAim | null } = { raw: null, aim: null };
  private light: DayLight | null = null;
  private letSleep: () => void = () => undefined;
  private readonly sound: AimSound;

  constructor() {
    super();
    this.answer = null;
    this.panels = [];
    this.told = null;
    this.busy = false;
    this.aloud = '';
    this.sleeps = false;
    this.open = false;
    this.sound = new AimSound(this, () => {
      const live = selectedStation(this.app);
      return { app: this.app, quantity: this.parsed.aim?.quantity ?? null, gone: live === null || this.isGone(live) };
    });
    new Listening(this, () => [this.app.selected, this.app.connection, this.app.tick, this.app.aim]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.light = dayLight(this.app);
    this.letSleep = stayAwake(
      wakeOf(document, navigator, awake => {
        // Said where it is looked at, once; what stands below is for later.
        if (!awake && !this.sleeps) this.say(words.SLEEPS, false, this.app.clock.nowMs());
        this.sleeps = !awake;
      }),
    );
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.letSleep();
    this.light?.leave();
    this.app.wantAim(undefined);
    this.station = '';
  }

  /** The newest judgement of the station shown; null before there is one. */
  private aim(live: StationLive): WireAim | null {
    const raw = this.app.aim.value;
    if (raw !== this.parsed.raw) {
      const checked = v.safeParse(WireAim, raw);
      this.parsed = { raw, aim: checked.success ? checked.output : null };
    }
    return this.parsed.aim?.station === live.station.id ? this.parsed.aim : null;
  }

  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    if (live === null) return;
    if (live.station.id !== this.station) this.begin(live.station.id);
    const nowMs = this.app.clock.nowMs();
    if (nowMs - this.askedMs >= ASK_AGAIN_MS) void this.load();
    if (this.isGone(live)) this.sound.stale();
    if (this.told !== null && nowMs - this.told.sinceMs > TOLD_MS) this.told = null;
    const reading = live.reading?.wire;
    const sunUp = (this.answer?.pointing?.sun.elevationDeg ?? 0) > 0;
    this.light?.see(sunUp || (reading !== undefined && (wattsOf(reading, null) ?? 0) > 0));
  }

  private begin(station: string): void {
    // What was said of another station; not what is said on coming.
    if (this.station !== '') this.told = null;
    this.station = station;
    this.answer = null;
    this.panels = [];
    this.askedMs = Number.NEGATIVE_INFINITY;
    this.app.wantAim(station);
    void settingsApi(this.app.api)
      .ofStation(station)
      .then(found => {
        if (found.ok && station === this.station) this.panels = found.value.panel;
      });
  }

  private async load(): Promise<void> {
    const { station } = this;
    this.askedMs = this.app.clock.nowMs();
    const found = await aimApi(this.app.api, station).answer();
    if (found.ok && station === this.station) this.answer = found.value;
    if (found.ok) this.fetchBelow();
  }

  /** What stands further down is fetched once there is something to say; without it the rest still works. */
  private fetchBelow(): void {
    for (const part of [import('./spots.ts'), import('./pointing.ts')]) part.catch(() => undefined);
  }

  protected override render() {
    const live = selectedStation(this.app);
    if (live === null) {
      const none = this.app.live.value.hello !== null;
      return html`<h1>${none ? words.NO_STATION : words.LOADING}</h1>
        ${none ? html`<p class="small"><a href="/setup">${words.OPEN_SETUP}</a></p>` : nothing}`;
    }
    const formats = formatsFor(this.app.locale, 'C');
    const times = timesFor(this.app.locale, live.station.zone, this.app.live.value.display.clock);
    const aim = this.aim(live);
    const gone = this.isGone(live);
    const verdict = this.verdict(live, aim, formats);
    const marks = aim?.marks ?? [];
    return html`<div class="top">
        <p class="about">${this.about(aim, formats)}</p>
        <aim-figure .app=${this.app} .quantity=${aim?.quantity ?? null} ?gone=${gone}></aim-figure>
        <div class="said"><h1><b>${verdict.strong}</b>${verdict.rest}</h1>${this.instead(aim, gone)}${this.acts(gone)}</div>
        <aim-minutes .app=${this.app} .quantity=${aim?.quantity ?? null} .marks=${marks}></aim-minutes>
        <aim-marks ?gone=${gone} .app=${this.app} .station=${live.station.id} .marks=${marks} .times=${times}
          .names=${this.answer?.spots.map(({ name }) => name) ?? []}
          @changed=${() => void this.load()} @again=${(event: CustomEvent<WireMark>) => void this.mark(event.detail.id)}></aim-marks>
      </div>
      <p class="unseen" role="status">${this.aloud}</p>
      ${this.more(aim, formats, times)}
      ${this.answer === null ? nothing : this.below(this.answer)}
      ${this.sleeps ? html`<p class="small">${words.SLEEPS}</p>` : nothing}
      <p class="small">${words.SAFETY}</p>`;
  }

  private below(answer: AimAnswer) {
    return html`<div class="below" @changed=${() => void this.load()}>
      <div><aim-spots .app=${this.app} .answer=${answer}></aim-spots>
        <aim-standing .app=${this.app} .answer=${answer}></aim-standing></div>
      <aim-pointing .app=${this.app} .answer=${answer}></aim-pointing>
    </div>`;
  }

  private isGone(live: StationLive): boolean {
    const fresh = freshness(live, this.app.connection.value, this.app.clock.nowMs());
    return this.app.connection.value.phase === 'lost' || fresh === 'stale' || fresh === 'disconnected';
  }

  private verdict(live: StationLive, aim: WireAim | null, formats: Formats): Verdict {
    const nowMs = this.app.clock.nowMs();
    const age = ageMs(live, nowMs);
    if (this.isGone(live)) return staleVerdict(age, value => formats.number(value, 1));
    if (live.status?.phase === 'typed' || live.reading?.wire.typed === true) return typedVerdict();
    return aim === null || age === null ? waitingVerdict() : verdictOf(aim, formats);
  }

  /** What is aimed, in one line over the figure. */
  private about(aim: WireAim | null, formats: Formats): string {
    const panels = this.panels.map(({ count, ratedW }) => words.panelOf(count, asText(formats.power(ratedW))));
    const parts = [
      panels.length === 0
        ? aim?.quantity === 'inputPowerW'
          ? words.COMING_IN
          : words.fromSun
        : words.panelsTold(panels),
      // Of a dark sky nothing can be told.
      ...(aim === null || aim.verdict.kind === 'dark' ? [] : [words.SKY[aim.sky]]),
      ...(aim?.reference == null
        ? []
        : [words.heldAgainst(aim.reference === 'port' ? words.OTHER_PORT : aim.reference)]),
    ];
    return parts.join(' · ');
  }

  /** Back at the spot one was sent to: said by a tap of its own, since a wrong word here would mislead the judgement. */
  private instead(aim: WireAim | null, gone: boolean) {
    const back = gone ? null : this.backTo(aim);
    if (back === null || !may(this.app.live.value, 'mark')) return nothing;
    return html`<p class="instead"><button type="button" ?disabled=${this.busy} @click=${() => void this.mark(back.id)}>${words.BACK_HERE(back.letter)}</button></p>`;
  }

  /** The mark that the owner is asked to go back to; null where to none. */
  private backTo(aim: WireAim | null): WireMark | null {
    if (aim?.verdict.kind !== 'goBack') return null;
    return aim.marks.find(({ letter }) => letter === aim.verdict.than) ?? null;
  }

  private acts(gone: boolean) {
    if (!may(this.app.live.value, 'mark')) {
      const how = LOOPBACK.includes(location.hostname) ? words.MAY_NOT_HERE : words.MAY_NOT_PHONE;
      return html`<div class="acts">${this.outcome()}
        <button type="button" @click=${() => this.say(how, true, Number.POSITIVE_INFINITY)}>${words.HOW_TO_MARK}</button>${this.tone()}</div>`;
    }
    return html`<div class="acts">${this.outcome()}
      <button type="button" class="main" ?disabled=${gone || this.busy} @click=${() => void this.mark()}>${words.MARK}</button>
      ${this.tone()}
    </div>`;
  }

  /** @param again the mark that the panels are back at; undefined: a spot of its own */
  private async mark(again?: number): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    const answer = await aimApi(this.app.api, this.station).mark(again === undefined ? {} : { again });
    this.busy = false;
    const nowMs = this.app.clock.nowMs();
    if (!answer.ok) this.say(refusedText(answer.refusal), true, nowMs);
    else this.say(markedText(answer.value, formatsFor(this.app.locale, 'C')), answer.value.mark === null, nowMs);
  }

  private say(text: string, wrong: boolean, sinceMs: number): void {
    this.told = { text, wrong, sinceMs };
  }

  private tone() {
    return html`<button type="button" class="tone" @click=${() => this.sound.toggleTone()}>${this.sound.on ? words.TONE_STOP : words.TONE}</button>`;
  }

  private outcome() {
    const { told } = this;
    return html`<p class="told ${told?.wrong ? 'wrong' : ''}" role="status">${told?.text ?? this.sound.told}</p>`;
  }

  /** What is behind the sentence, and its watts for the ears. */
  private more(aim: WireAim | null, formats: Formats, times: Times) {
    const { speaks } = this.sound;
    return html`<div class="more">
      ${aim === null ? nothing : html`<button type="button" aria-expanded=${this.open ? 'true' : 'false'} aria-controls="why" @click=${() => this.openWhy()}>${WHY}</button>`}
      ${speaks === null ? nothing : html`<button type="button" aria-pressed=${speaks ? 'true' : 'false'} @click=${() => this.sound.toggleSpoken()}>${words.SPEAK}</button>`}
    </div>
    ${aim === null || !this.open ? nothing : html`<ul class="why" id="why">${whyLines(aim, formats, times).map(line => html`<li>${line}</li>`)}</ul>`}`;
  }

  private openWhy(): void {
    this.open = !this.open;
  }

  protected override updated(): void {
    const live = selectedStation(this.app);
    if (live === null) return;
    const verdict = this.verdict(live, this.aim(live), formatsFor(this.app.locale, 'C'));
    if (verdict.meaning === this.meaning) return;
    this.meaning = verdict.meaning;
    this.aloud = verdict.strong + verdict.rest;
  }
}

/** What a tap on Mark came to. */
function markedText({ mark, why }: { mark: WireMark | null; why: WireMark['why'] }, formats: Formats): string {
  if (mark === null) return why === 'ok' ? '' : words.NOT_MARKED[why];
  if (why !== 'ok') return words.markedUnranked(mark.letter, why);
  const watts = (value: number) => asText(formats.power(value));
  return words.marked(mark.letter, watts(mark.measured.meanW), giveOrTake(mark.measured.giveOrTakeW, formats));
}

customElements.define('aim-view', AimView);
