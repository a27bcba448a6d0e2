/** Trials: does it deliver what it says? The best result, what runs, what has been tried, what can be, and the first week. */
import { html, LitElement, nothing } from 'lit';
import type { FirstWeekAnswer, TrialsAnswer, WireTrial, WireTrialKind } from '#messages';
import { asText, formatsFor, spanText, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow, type StationLive } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/trials.ts';
import { curveStyles } from './curve-drawing.ts';
import { curveFigure, drawingsOf } from './curves.ts';
import { firstWeekList, weekIsOver } from './first-week.ts';
import { told } from './rounding.ts';
import { bestTrial, dayOf, headFigure, isDone, isLive, liveSentence, type Said, trialsSentence } from './sentence.ts';
import { beginAddress, besideAddress, trialAddress, trialsApi, YEARS_ADDRESS } from './trials-api.ts';
import { trialsStyles } from './trials-styles.ts';
import { WidthOf } from './width-of.ts';

export class TrialsView extends LitElement {
  static override properties = {
    app: { attribute: false },
    answer: { state: true },
    week: { state: true },
    failed: { state: true },
    picked: { state: true },
  };
  static override styles = [shared, trialsStyles, curveStyles];

  declare app: App;
  declare answer: TrialsAnswer | null;
  declare week: FirstWeekAnswer | null;
  declare failed: string;
  /** Ids of results to set side by side. */
  declare picked: readonly string[];
  private asked = '';
  private readonly room = new WidthOf(this, '.room');
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.answer = null;
    this.week = null;
    this.failed = '';
    this.picked = [];
    new Listening(this, () => [this.app.selected, this.app.live, this.app.trials]);
  }

  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    if (live === null) return;
    const key = `${live.station.id} ${this.app.live.value.hello?.heardMs} ${this.app.trials.value}`;
    if (key === this.asked) return;
    this.asked = key;
    void this.load(live.station.id);
  }

  /** Results of all stations, to set side by side; the kinds are told for this one. */
  private async load(station: string): Promise<void> {
    const api = trialsApi(this.app.api);
    const [mine, all, week] = await Promise.all([api.of(station), api.all(), api.firstWeek(station)]);
    if (selectedStation(this.app)?.station.id !== station || !this.isConnected) return;
    this.failed = mine.ok ? '' : `${mine.refusal.message} ${mine.refusal.fix}`;
    this.week = week.ok ? week.value : null;
    if (!mine.ok) return;
    this.answer = { ...mine.value, trials: all.ok ? all.value.trials : mine.value.trials };
  }

  protected override render() {
    const live = selectedStation(this.app);
    const { answer } = this;
    if (live === null || answer === null) {
      const none = live === null && this.app.live.value.hello !== null;
      const headline = none ? words.NO_STATION : this.failed === '' ? words.LOADING : words.FAILED;
      return html`<h1>${headline}</h1><p class="sure">${none ? html`<a href="/setup">${words.OPEN_SETUP}</a>` : this.failed}</p>`;
    }
    return this.whole(live, answer);
  }

  private whole({ station }: StationLive, answer: TrialsAnswer) {
    const said: Said = {
      formats: formatsFor(this.app.locale, this.app.live.value.display.temperature),
      times: timesFor(this.app.locale, station.zone, this.app.live.value.display.clock),
      nowAt: agentNow(this.app.live.value, this.app.clock.nowMs()) ?? 0,
    };
    const mine = answer.trials.filter(trial => trial.station === station.id);
    const { headline, sure } = trialsSentence(mine, this.week, said);
    const best = bestTrial(mine);
    const ended = answer.trials.filter(trial => !isLive(trial)).sort((a, b) => (a.startedAt < b.startedAt ? 1 : -1));
    return html`<h1>${headline}</h1><p class="sure">${sure.join(' ')}</p>
      ${answer.trials.filter(isLive).map(trial => this.underWay(trial, station.id, said))}
      ${best === null ? nothing : this.drawing(best, said)}
      <div class="sides apart">
        <div>${ended.length === 0 ? nothing : this.results(ended, said)}
          ${mine.some(trial => isDone(trial) && trial.kind === 'usable') ? html`<p><a href=${YEARS_ADDRESS}>${words.YEARS_LINK}</a></p>` : nothing}</div>
        <div class="aside">${this.week === null || weekIsOver(this.week, said.times.date(said.nowAt)) ? nothing : firstWeekList(this.week, said)}</div>
        <div>${this.kinds(answer, said)}</div>
      </div>`;
  }

  private underWay(trial: WireTrial, station: string, said: Said) {
    const { headline, sure } = liveSentence(trial, said);
    const whose = trial.station === station ? '' : `${trial.stationName}. `;
    return html`<div class="live"><p><a href=${trialAddress(trial.id)}>${whose}${words.KINDS[trial.kind].name}: ${words.PHASES[trial.judgement.phase]}</a></p>
      <p class="ask">${headline} ${sure.join(' ')}</p></div>`;
  }

  private drawing(best: WireTrial, { formats }: Said) {
    const drawing = drawingsOf([best], [''])[0];
    return html`<div class="room">${
      drawing === undefined
        ? nothing
        : curveFigure(drawing, formats, { width: this.room.px, height: this.narrow.matches ? 200 : 240 })
    }</div>`;
  }

  private results(ended: readonly WireTrial[], said: Said) {
    const able = comparable(ended);
    const picked = this.picked.filter(id => able.some(trial => trial.id === id));
    return html`<h2 id="results">${words.RESULTS}</h2>
      <table class="rows" aria-labelledby="results"><tbody>${ended.map(trial => this.row(trial, able, picked, said))}</tbody></table>
      ${
        able.length < 2
          ? nothing
          : picked.length < 2
            ? html`<p class="ask">${words.CHOOSE_TWO}</p>`
            : html`<p class="acts"><a class="main" href=${besideAddress(picked)}>${words.besideChosen(picked.length)}</a></p>`
      }`;
  }

  private row(trial: WireTrial, able: readonly WireTrial[], picked: readonly string[], said: Said) {
    const first = able.find(({ id }) => picked.includes(id));
    const other = first !== undefined && first.kind !== trial.kind;
    const { name } = words.KINDS[trial.kind];
    const figure = isDone(trial) ? headFigure(trial) : null;
    const value = figure === null ? null : told(figure, figure.unit, said.formats);
    const day = dayOf(trial, said);
    const marks = [day, trial.stationName, ...(trial.simulated ? [words.SIMULATED] : [])];
    return html`<tr>${
      able.length > 0
        ? html`<td class="pick">${able.includes(trial) ? html`<label><input type="checkbox" ?disabled=${other} aria-label=${words.chooseFor(name, day)} .checked=${picked.includes(trial.id)} @change=${(event: Event) => this.pick(trial.id, (event.target as HTMLInputElement).checked)}></label>` : nothing}</td>`
        : nothing
    }<th scope="row"><a href=${trialAddress(trial.id)}>${name}</a><span class="half">${marks.join(' · ')}</span></th>
      <td class="figure">${value === null ? words.PHASES[trial.judgement.phase] : html`<b>${value.text}</b><span class="half">${value.give}</span>`}</td></tr>`;
  }

  private pick(id: string, chosen: boolean): void {
    this.picked = chosen ? [...this.picked, id] : this.picked.filter(one => one !== id);
  }

  private kinds({ kinds, notMeasurable }: TrialsAnswer, { formats }: Said) {
    const order = Object.keys(words.KINDS);
    const sorted = [...kinds].sort((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind));
    return html`<h2>${words.KINDS_TITLE}</h2><ul class="kinds">${sorted.map(kind => this.kind(kind))}
      ${notMeasurable.map(
        ({ kind, lastsMs, needsMs }) =>
          html`<li><p class="ask">${words.NOT_MEASURABLE[kind]} ${words.tooQuick(
            spanText(lastsMs, x => formats.number(x, x < 0.1 ? 2 : 1)),
            asText({ text: formats.number(needsMs, 0), unit: 'ms' }),
          )}</p></li>`,
      )}</ul>`;
  }

  private kind({ kind, missing, usualHours: [from, to] }: WireTrialKind) {
    const { name, purpose, connect } = words.KINDS[kind];
    return html`<li><div class="head"><b>${name}</b>${
      missing.length > 0
        ? nothing
        : html`<a class="act" href=${beginAddress(kind)} aria-label=${words.begin(name)}>${words.BEGIN}</a>`
    }</div><p>${purpose}</p><p class="ask">${connect} ${words.takes(String(from), String(to))}.</p>
      ${missing.length === 0 ? nothing : html`<p class="wrong">${words.MISSING_HERE} ${missing.map(words.quantity).join(', ')}.</p>`}</li>`;
  }
}

/** Results that have another of their kind to stand beside. */
const comparable = (ended: readonly WireTrial[]): WireTrial[] =>
  ended.filter(
    trial => isDone(trial) && ended.some(other => other !== trial && isDone(other) && other.kind === trial.kind),
  );

customElements.define('trials-view', TrialsView);
