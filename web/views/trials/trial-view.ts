/** One trial: while it runs what it waits for and what to do, then its result with ranges; asked for anew when the agent says so. */
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import type { TrialChange, WireTrial } from '#messages';
import { formatsFor, timesFor } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow, may } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as trials from '../../words/trials.ts';
import * as begin from '../../words/trials-begin.ts';
import * as words from '../../words/trials-result.ts';
import { countTyped, meterForm, stepButtons } from './by-hand.ts';
import { conditionsList, notSaid, seenList, tellMore } from './conditions.ts';
import { curveStyles } from './curve-drawing.ts';
import { curveFigure, drawingsOf } from './curves.ts';
import { budgets, figuresTable } from './figures-table.ts';
import { savePicture } from './save-picture.ts';
import { isDone, isLive, type Said, trialSentence } from './sentence.ts';
import { goTo, reportAddress, samplesAddress, trialsApi } from './trials-api.ts';
import { trialsStyles } from './trials-styles.ts';
import { WidthOf } from './width-of.ts';

export class TrialView extends LitElement {
  static override properties = {
    app: { attribute: false },
    trial: { state: true },
    failed: { state: true },
    notDone: { state: true },
    busy: { state: true },
    sure: { state: true },
    wrongCount: { state: true },
  };
  static override styles = [shared, trialsStyles, curveStyles];

  declare app: App;
  declare trial: WireTrial | null;
  declare failed: string;
  declare notDone: string;
  declare busy: boolean;
  /** What was asked for once and is done at the second tap. */
  declare sure: 'end' | 'remove' | null;
  declare wrongCount: boolean;
  private readonly trialId = decodeURIComponent(location.pathname.split('/')[2] ?? '');
  private asked = '';
  /** Told aloud once its meaning changes, never for a number that moved. */
  private aloud = '';
  private meaning = '';
  private readonly room = new WidthOf(this, '.room');
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.trial = null;
    this.failed = '';
    this.notDone = '';
    this.busy = false;
    this.sure = null;
    this.wrongCount = false;
    new Listening(this, () => [this.app.live, this.app.trials]);
  }

  protected override willUpdate(): void {
    const heard = this.app.live.value.hello?.heardMs;
    if (heard === undefined) return;
    // What is over says the same from then on.
    const told = this.trial === null || isLive(this.trial) ? this.app.trials.value : '';
    const asked = `${heard} ${told}`;
    if (asked === this.asked || (told === '' && this.asked.startsWith(`${heard} `))) return;
    this.asked = asked;
    void this.load();
  }

  private async load(): Promise<void> {
    const answer = await trialsApi(this.app.api).one(this.trialId);
    if (!this.isConnected) return;
    this.failed = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
    if (answer.ok && !this.busy) this.trial = answer.value.trial;
  }

  private async act(change: TrialChange): Promise<boolean> {
    this.busy = true;
    const answer = await trialsApi(this.app.api).change(this.trialId, change);
    this.busy = false;
    this.sure = null;
    this.notDone = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
    if (answer.ok) this.trial = answer.value.trial;
    return answer.ok;
  }

  private async takeAway(): Promise<void> {
    this.busy = true;
    const answer = await trialsApi(this.app.api).remove(this.trialId);
    this.busy = false;
    this.sure = null;
    this.notDone = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
    if (answer.ok) goTo('/trials');
  }

  protected override render() {
    const { trial } = this;
    if (trial === null) {
      return html`<h1>${this.failed === '' ? words.LOADING : words.FAILED}</h1><p class="sure">${this.failed}</p>${back}`;
    }
    const zone =
      this.app.live.value.stations.find(({ station }) => station.id === trial.station)?.station.zone ?? this.app.zone;
    const said: Said = {
      formats: formatsFor(this.app.locale, this.app.live.value.display.temperature),
      times: timesFor(this.app.locale, zone, this.app.live.value.display.clock),
      nowAt: agentNow(this.app.live.value, this.app.clock.nowMs()) ?? 0,
    };
    const { headline, sure } = trialSentence(trial, said);
    this.hear(trial, headline);
    const mayChange = may(this.app.live.value, 'mark');
    return html`<h1>${headline}</h1><p class="sure">${sure.join(' ')}</p>
      <p class="unseen" role="status">${this.aloud}</p>
      <p class="back"><a href="/trials">${trials.ALL_TRIALS}</a> · ${trials.KINDS[trial.kind].name}, ${trial.stationName}${trial.simulated ? `, ${trials.SIMULATED}` : ''}</p>
      ${this.failed === '' && this.notDone === '' ? nothing : html`<p class="wrong" role="alert">${this.notDone === '' ? '' : words.NOT_DONE} ${this.failed} ${this.notDone}</p>`}
      ${isLive(trial) ? this.live(trial, said, mayChange) : mayChange ? this.meter(trial, said) : nothing}
      ${this.drawings(trial, said)}
      ${this.told(trial, said, mayChange)}
      ${isLive(trial) ? nothing : html`<div class="below">${files(trial)}${mayChange ? this.twice('remove', () => void this.takeAway()) : nothing}</div>`}`;
  }

  /** Figures, or how it goes while there is none, beside what they were measured under. */
  private told(trial: WireTrial, said: Said, mayChange: boolean): TemplateResult {
    const beside = html`${isLive(trial) ? nothing : seenList(trial, said)}${conditionsList(trial, said)}${mayChange ? tellMore(trial, this.busy, change => void this.act(change)) : nothing}${isDone(trial) ? notSaid(trial) : nothing}`;
    if (trial.judgement.result === null && !isLive(trial)) return html`${beside}`;
    return html`<div class="sides"><div>${this.figures(trial, said)}${isLive(trial) ? howItGoes(trial) : nothing}</div><div>${beside}</div></div>`;
  }

  private hear({ judgement: { phase, waitsFor, spoiledBy } }: WireTrial, headline: string): void {
    const meaning = `${phase} ${waitsFor} ${spoiledBy.length}`;
    if (this.meaning !== '' && meaning !== this.meaning) this.aloud = headline;
    this.meaning = meaning;
  }

  private live(trial: WireTrial, said: Said, mayChange: boolean) {
    const { share } = trial.judgement.progress;
    return html`${share === null ? nothing : html`<div class="share" aria-hidden="true"><div></div></div>`}
      ${mayChange ? html`${stepButtons(trial, said, this.busy, change => void this.act(change))}${this.meter(trial, said)}` : nothing}
      ${seenList(trial, said)}
      ${mayChange ? this.twice('end', () => void this.act({ do: 'end' })) : nothing}`;
  }

  private meter(trial: WireTrial, said: Said) {
    const send = (text: string) => void this.count(text);
    return meterForm(trial, said, { busy: this.busy, wrong: this.wrongCount, send });
  }

  protected override updated(): void {
    // A width of its own would need an inline style, which the page's policy does not let through as markup.
    const bar = this.renderRoot.querySelector<HTMLElement>('.share div');
    if (bar !== null) bar.style.width = `${Math.min(100, 100 * (this.trial?.judgement.progress.share ?? 0))}%`;
  }

  private async count(text: string): Promise<void> {
    const value = countTyped(text, this.trial!);
    this.wrongCount = value === null;
    if (value !== null && (await this.act({ do: 'meter', energyWh: value })))
      this.renderRoot.querySelector('form')?.reset();
  }

  /** What cannot be taken back is done at the second tap. */
  private twice(what: 'end' | 'remove', act: () => void) {
    const [first, second, tells] =
      what === 'end'
        ? [words.END, words.END_AGAIN, words.END_KEEPS]
        : [words.REMOVE, words.REMOVE_AGAIN, words.REMOVE_TELLS];
    return this.sure === what
      ? html`<p class="ask">${tells}</p><button type="button" class="quiet" ?disabled=${this.busy} @click=${act}>${second}</button>`
      : html`<button type="button" class="quiet" @click=${() => {
          this.sure = what;
        }}>${first}</button>`;
  }

  private figures(trial: WireTrial, { formats }: Said) {
    if (trial.judgement.result === null) return nothing;
    const title = trial.judgement.phase === 'done' ? words.FIGURES_TITLE : words.SO_FAR;
    return html`<h2 id="figures">${title}</h2>${figuresTable(trial, formats)}<p class="ask">${words.nineteen}</p>${budgets(trial, formats)}`;
  }

  private drawings(trial: WireTrial, { formats }: Said): TemplateResult {
    const [first, ...others] = drawingsOf([trial], ['']);
    const [main, lesser] = this.narrow.matches ? [210, 150] : [260, 160];
    const width = this.room.px;
    return html`<div class="room">${first === undefined ? nothing : curveFigure(first, formats, { width, height: main })}
      ${others.map(drawing => curveFigure(drawing, formats, { width, height: lesser }))}</div>
      ${first === undefined ? nothing : html`<p class="files"><button type="button" class="word" @click=${() => void this.save(trial, 'svg')}>${words.AS_SVG}</button><button type="button" class="word" @click=${() => void this.save(trial, 'png')}>${words.AS_PNG}</button></p>`}`;
  }

  private async save(trial: WireTrial, as: 'svg' | 'png'): Promise<void> {
    const drawing = this.renderRoot.querySelector<SVGSVGElement>('figure svg');
    const [of] = drawingsOf([trial], ['']);
    if (drawing === null || of === undefined) return;
    const marks = [trial.id, words.versionTold(trial.version), ...(trial.simulated ? [trials.SIMULATED] : [])];
    const title = `${trial.stationName}: ${words.CURVES[of.of]!.name}`;
    await savePicture(drawing, { title, foot: marks.join(' · ') }, `trial-${trial.id}`, as).catch(() => {
      this.notDone = words.PICTURE_FAILED;
    });
  }
}

const back = html`<p class="back"><a href="/trials">${trials.ALL_TRIALS}</a></p>`;

const howItGoes = ({ kind }: WireTrial): TemplateResult =>
  html`<h2 id="how">${begin.HOW}</h2><ol class="plain" aria-labelledby="how">${begin.STEPS[kind].map(text => html`<li>${text}</li>`)}</ol>`;

const files = ({ id }: WireTrial): TemplateResult =>
  html`<h2>${words.FILES}</h2><p class="files"><a href=${reportAddress([id])} target="_blank" rel="noopener">${words.REPORT}</a><a href=${reportAddress([id], true)} target="_blank" rel="noopener">${words.LARGE}</a><a href=${samplesAddress(id)} download>${words.SAMPLES}</a></p>`;

customElements.define('trial-view', TrialView);
