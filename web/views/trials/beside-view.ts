/** Results side by side: do they differ by more than their uncertainty? One axis, one table, and what the money buys. */
import { html, LitElement, nothing } from 'lit';
import type { ComparisonAnswer, WireTrial } from '#messages';
import { formatsFor, timesFor } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as trials from '../../words/trials.ts';
import * as words from '../../words/trials-beside.ts';
import * as result from '../../words/trials-result.ts';
import { besideSentence, namesOf, sideTable, verdictTable, worthTable } from './beside.ts';
import { curveStyles } from './curve-drawing.ts';
import { curveFigure, drawingsOf } from './curves.ts';
import { savePicture } from './save-picture.ts';
import { dayOf, isDone, type Said } from './sentence.ts';
import { besideAddress, goTo, reportAddress, trialsApi } from './trials-api.ts';
import { trialsStyles } from './trials-styles.ts';
import { WidthOf } from './width-of.ts';

export class TrialsBesideView extends LitElement {
  static override properties = {
    app: { attribute: false },
    answer: { state: true },
    choice: { state: true },
    picked: { state: true },
    failed: { state: true },
  };
  static override styles = [shared, trialsStyles, curveStyles];

  declare app: App;
  declare answer: ComparisonAnswer | null;
  /** What may be chosen, where nothing is yet. */
  declare choice: readonly WireTrial[] | null;
  declare picked: readonly string[];
  declare failed: string;
  private readonly ids = (new URLSearchParams(location.search).get('ids') ?? '').split(',').filter(id => id !== '');
  private asked: number | undefined;
  private readonly room = new WidthOf(this, '.room');
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.answer = null;
    this.choice = null;
    this.picked = [];
    this.failed = '';
    new Listening(this, () => [this.app.live]);
  }

  protected override willUpdate(): void {
    const heard = this.app.live.value.hello?.heardMs;
    if (heard === undefined || heard === this.asked) return;
    this.asked = heard;
    void this.load();
  }

  private async load(): Promise<void> {
    const api = trialsApi(this.app.api);
    if (this.ids.length < 2) {
      const all = await api.all();
      if (all.ok) this.choice = all.value.trials.filter(isDone);
      this.failed = all.ok ? '' : `${all.refusal.message} ${all.refusal.fix}`;
      return;
    }
    const answer = await api.compare(this.ids);
    if (answer.ok) this.answer = answer.value;
    this.failed = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
  }

  private said(trial: WireTrial | undefined): Said {
    const { live, clock, locale, zone } = this.app;
    const station = live.value.stations.find(one => one.station.id === trial?.station)?.station;
    return {
      formats: formatsFor(locale, live.value.display.temperature),
      times: timesFor(locale, station?.zone ?? zone, live.value.display.clock),
      nowAt: agentNow(live.value, clock.nowMs()) ?? 0,
    };
  }

  protected override render() {
    const back = html`<p class="back"><a href="/trials">${trials.ALL_TRIALS}</a></p>`;
    if (this.choice !== null) return html`${this.choose(this.choice)}${back}`;
    const { answer } = this;
    if (answer === null)
      return html`<h1>${this.failed === '' ? words.LOADING : trials.FAILED}</h1><p class="sure">${this.failed}</p>${back}`;
    return html`${this.whole(answer)}`;
  }

  private choose(choice: readonly WireTrial[]) {
    if (choice.length < 2) return html`<h1>${words.CHOOSE}</h1><p class="sure">${words.NONE_TO_CHOOSE}</p>`;
    const said = this.said(choice[0]);
    const pick = (id: string) => (event: Event) => {
      const chosen = (event.target as HTMLInputElement).checked;
      this.picked = chosen ? [...this.picked, id] : this.picked.filter(one => one !== id);
    };
    return html`<h1>${words.CHOOSE}</h1><p class="sure">${words.CHOOSE_SURE}</p>
      ${choice.map(trial => html`<p><label class="row"><input type="checkbox" @change=${pick(trial.id)}> ${trials.KINDS[trial.kind].name}, ${trial.stationName}, ${dayOf(trial, said)}</label></p>`)}
      <p class="acts"><button type="button" class="main" ?disabled=${this.picked.length < 2} @click=${() => goTo(besideAddress(this.picked))}>${words.SHOW}</button></p>`;
  }

  private whole(answer: ComparisonAnswer) {
    const said = this.said(answer.trials[0]);
    const { formats } = said;
    const names = namesOf(answer.trials, said);
    const { headline, sure } = besideSentence(answer, names, formats);
    const simulated = answer.trials.some(trial => trial.simulated);
    const [drawing] = drawingsOf(answer.trials, names);
    const size = { width: this.room.px, height: this.narrow.matches ? 220 : 280, caption: words.ONE_AXIS };
    return html`<h1>${headline}</h1><p class="sure">${[...sure, ...(simulated ? [trials.SIMULATED_LONG] : [])].join(' ')}</p>
      <p class="back"><a href="/trials">${trials.ALL_TRIALS}</a></p>
      ${this.failed === '' ? nothing : html`<p class="wrong" role="alert">${this.failed}</p>`}
      <div class="room">${drawing === undefined ? nothing : curveFigure(drawing, formats, size)}</div>
      ${drawing === undefined ? nothing : html`<p class="files"><button type="button" class="word" @click=${() => void this.save(answer, headline, 'svg')}>${result.AS_SVG}</button><button type="button" class="word" @click=${() => void this.save(answer, headline, 'png')}>${result.AS_PNG}</button></p>`}
      <div class="sides"><div>${sideTable(answer, names, formats)}</div><div>${verdictTable(answer, names, formats)}</div></div>
      <div class="below">${worthTable(answer, names, formats)}
        <h2>${result.FILES}</h2><p class="files"><a href=${reportAddress(this.ids)} target="_blank" rel="noopener">${result.REPORT}</a><a href=${reportAddress(this.ids, true)} target="_blank" rel="noopener">${result.LARGE}</a>${answer.trials.map((trial, i) => html`<a href="/trials/${trial.id}">${names[i]}</a>`)}</p></div>`;
  }

  private async save(answer: ComparisonAnswer, title: string, as: 'svg' | 'png'): Promise<void> {
    const drawing = this.renderRoot.querySelector<SVGSVGElement>('figure svg');
    if (drawing === null) return;
    const simulated = answer.trials.some(trial => trial.simulated) ? [trials.SIMULATED] : [];
    const foot = [...this.ids, ...simulated].join(' · ');
    await savePicture(drawing, { title, foot }, 'trials-beside', as).catch(() => {
      this.failed = result.PICTURE_FAILED;
    });
  }
}

customElements.define('trials-beside-view', TrialsBesideView);
