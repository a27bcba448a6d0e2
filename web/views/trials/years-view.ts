/** Over the years: usable energy at comparable watts and temperature, full cycles, and what was promised. */
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import type { YearsAnswer } from '#messages';
import { asText, type Formats, formatsFor, MISSING, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow, type StationLive } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as trials from '../../words/trials.ts';
import * as words from '../../words/trials-beside.ts';
import * as result from '../../words/trials-result.ts';
import { curveDrawing, curveStyles } from './curve-drawing.ts';
import { told } from './rounding.ts';
import type { Said, Sentence } from './sentence.ts';
import { reportAddress, samplesAddress, trialAddress, trialsApi } from './trials-api.ts';
import { trialsStyles } from './trials-styles.ts';
import { WidthOf } from './width-of.ts';
import { yearsLayout } from './years-layout.ts';

/** A report sets at most so many side by side. */
const MOST_IN_REPORT = 8;

type Warranty = NonNullable<YearsAnswer['warranty']>;

const promisedText = ({ of, thresholdPct }: Warranty, formats: Formats): string =>
  words.PROMISED_OF[of](asText(formats.percent(thresholdPct)));

/** Wh below which the promise is broken; null where nothing is promised or the whole is not known. */
export function promisedWh({ warranty, points }: YearsAnswer, ratedWh: number | null): number | null {
  const first = points.find(point => point.comparable)?.usable.value ?? null;
  const whole = warranty?.of === 'first' ? first : ratedWh;
  return warranty === null || whole === null ? null : (whole * warranty.thresholdPct) / 100;
}

/** The last word on what it still delivers. */
export function yearsSentence({ points, warranty, trendPctAYear }: YearsAnswer, { formats }: Said): Sentence {
  const last = points.filter(point => point.comparable).at(-1) ?? points.at(-1);
  if (last === undefined) return { headline: words.YEARS_NONE, sure: [words.YEARS_NONE_SURE] };
  const usable = told(last.usable, 'Wh', formats);
  const sure: string[] = [];
  if (warranty !== null) sure.push(words.WARRANTY[warranty.verdict](promisedText(warranty, formats)));
  if (trendPctAYear === null) sure.push(words.NO_TREND);
  else {
    const { text, give } = told(trendPctAYear, '%', formats, true);
    sure.push(words.TREND(text, give));
  }
  if (last.ofFirstPct === null || points.length < 2)
    return { headline: words.ONE_POINT(usable.text, usable.give), sure };
  const of = told(last.ofFirstPct, '%', formats);
  return { headline: words.OF_FIRST(of.text, of.give), sure };
}

export class TrialsYearsView extends LitElement {
  static override properties = { app: { attribute: false }, answer: { state: true }, failed: { state: true } };
  static override styles = [shared, trialsStyles, curveStyles];

  declare app: App;
  declare answer: YearsAnswer | null;
  declare failed: string;
  private asked = '';
  private readonly room = new WidthOf(this, '.room');
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.answer = null;
    this.failed = '';
    new Listening(this, () => [this.app.selected, this.app.live]);
  }

  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    const key = live === null ? '' : `${live.station.id} ${this.app.live.value.hello?.heardMs}`;
    if (live === null || key === this.asked) return;
    this.asked = key;
    void this.load(live.station.id);
  }

  private async load(station: string): Promise<void> {
    const answer = await trialsApi(this.app.api).years(station);
    if (selectedStation(this.app)?.station.id !== station) return;
    this.answer = answer.ok ? answer.value : null;
    this.failed = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
  }

  protected override render() {
    const live = selectedStation(this.app);
    const back = html`<p class="back"><a href="/trials">${trials.ALL_TRIALS}</a></p>`;
    if (live === null || this.answer === null)
      return html`<h1>${this.failed === '' ? words.YEARS_LOADING : words.YEARS_FAILED}</h1><p class="sure">${this.failed}</p>${back}`;
    return html`${this.whole(live, this.answer, back)}`;
  }

  private whole({ station }: StationLive, answer: YearsAnswer, back: TemplateResult) {
    const said: Said = {
      formats: formatsFor(this.app.locale, this.app.live.value.display.temperature),
      times: timesFor(this.app.locale, station.zone, this.app.live.value.display.clock),
      nowAt: agentNow(this.app.live.value, this.app.clock.nowMs()) ?? 0,
    };
    const { headline, sure } = yearsSentence(answer, said);
    const simulated = station.simulated ? [trials.SIMULATED_LONG] : [];
    return html`<h1>${headline}</h1><p class="sure">${[...sure, ...simulated].join(' ')}</p>${back}
      ${answer.points.length === 0 ? nothing : this.drawing(answer, station.ratedWh, said)}
      ${answer.points.length === 0 ? nothing : pointsTable(answer, said)}
      <div class="below">${this.promised(answer, said)}</div>`;
  }

  private drawing(answer: YearsAnswer, ratedWh: number | null, { formats, times, nowAt }: Said) {
    const today = times.date(nowAt);
    const { points } = answer;
    const limitWh = promisedWh(answer, ratedWh);
    const layout = yearsLayout(points, {
      width: this.room.px,
      height: this.narrow.matches ? 210 : 260,
      limitWh,
      day: at => times.dayMonth(times.date(at), today),
      number: formats.number,
    });
    const says = points
      .map(
        ({ at, usable }) => `${times.dayMonth(times.date(Date.parse(at)), today)}: ${told(usable, 'Wh', formats).text}`,
      )
      .join('. ');
    return html`<div class="room"><figure><h2 class="curve">${words.YEARS_DRAWING}</h2>${this.room.px === 0 ? nothing : curveDrawing(layout, says)}<figcaption>${words.YEARS_CAPTION} ${limitWh === null ? '' : words.WARRANTY_LINE} ${result.nineteen}</figcaption></figure></div>`;
  }

  private promised({ fullCycles, warranty }: YearsAnswer, { formats, times, nowAt }: Said) {
    const cycles = fullCycles === null ? null : told(fullCycles, '', formats);
    return html`${cycles === null ? nothing : html`<p>${words.CYCLES(cycles.text, cycles.give)}</p>`}
      ${
        warranty === null
          ? html`<p class="ask">${words.NO_WARRANTY} <a href="/setup">${words.TELL_WARRANTY}</a>.</p>`
          : html`<p>${warranty.untilAt === null ? nothing : words.WARRANTY_UNTIL(times.dayMonth(times.date(Date.parse(warranty.untilAt)), times.date(nowAt)))}
            ${warranty.cycles === null ? nothing : words.WARRANTY_CYCLES(formats.number(warranty.cycles, 0))}</p>`
      }`;
  }
}

function pointsTable({ points }: YearsAnswer, { formats, times, nowAt }: Said): TemplateResult {
  const today = times.date(nowAt);
  return html`<div class="across"><table class="rows" aria-label=${words.YEARS_DRAWING}><thead><tr>${words.YEARS_COLUMNS.map(name => html`<th scope="col">${name}</th>`)}</tr></thead>
    <tbody>${[...points].reverse().map(({ trial, at, usable, meanW, tempC, comparable, ofFirstPct }) => {
      const energy = told(usable, 'Wh', formats);
      const share = ofFirstPct === null ? null : told(ofFirstPct, '%', formats);
      return html`<tr><th scope="row" class="day"><a href=${trialAddress(trial)}>${times.dayMonth(times.date(Date.parse(at)), today)}</a></th>
        <td class="figure"><b>${energy.text}</b><span class="half">${energy.give}</span></td>
        <td>${asText(formats.power(meanW))}</td><td>${asText(formats.temperature(tempC))}</td>
        <td class="figure">${!comparable ? words.UNLIKE_FIRST : share === null ? MISSING : html`${share.text}<span class="half">${trial === points[0]!.trial ? words.THE_FIRST : share.give}</span>`}</td>
        <td><a href=${samplesAddress(trial)} download aria-label=${words.samplesOf(times.dayMonth(times.date(Date.parse(at)), today))}>CSV</a></td></tr>`;
    })}</tbody></table></div>
    <p class="files"><a href=${reportAddress(points.slice(-MOST_IN_REPORT).map(({ trial }) => trial))} target="_blank" rel="noopener">${result.REPORT}</a></p><p class="ask">${words.EVIDENCE}</p>`;
}

customElements.define('trials-years-view', TrialsYearsView);
