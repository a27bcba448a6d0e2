/** Two stations, or two periods of one, beside each other: a sentence, one drawing, one table, whole days in common only. */
import { css, html, LitElement } from 'lit';
import type { LedgerAnswer } from '#messages';
import { type Formats, formatsFor, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/ledger-beside.ts';
import { dayApi, refusedText } from '../ledger-day/day-api.ts';
import { moneyOf } from '../ledger-day/day-figures.ts';
import { type BesideDrawing, besideDrawable } from './drawing.ts';
import { type Beside, besideOf } from './pairs.ts';
import { addressOf, MOST_DAYS, type Side, type Sides, sidesOf, wrongOf } from './sides.ts';
import { besideRows, besideTold } from './telling.ts';

type Which = keyof Sides;

interface Loaded {
  sides: Sides;
  answers: readonly [LedgerAnswer, LedgerAnswer];
}

interface Shown {
  of: readonly unknown[];
  beside: Beside;
  drawing: BesideDrawing;
}

export class LedgerBesideView extends LitElement {
  static override properties = {
    app: { attribute: false },
    sides: { state: true },
    loaded: { state: true },
    refusal: { state: true },
    wrong: { state: true },
  };
  static override styles = [
    shared,
    css`
      .others { margin-top: 12px; font-size: 17px; }
      .others a { display: inline-block; padding: 10px 0; }
      form { display: grid; gap: 0 24px; max-width: 860px; }
      fieldset { display: grid; grid-template-columns: minmax(160px, 2fr) minmax(130px, 1fr) minmax(130px, 1fr); gap: 4px 16px; min-width: 0; margin: 0; padding: 0 0 12px; border: 0; }
      legend { padding: 0 0 4px; font-weight: var(--strong-weight); }
      label { display: block; padding: 4px 0; color: var(--soft); font-size: 15px; }
      fieldset .wrong { grid-column: 1 / -1; margin: 6px 0 0; }
      form button { justify-self: start; margin-top: 4px; }
      time-chart, .chart-room { margin-top: 24px; }
      .chart-room { height: 320px; }
      .key { display: flex; flex-wrap: wrap; gap: 4px 24px; margin: 8px 0 0; color: var(--soft); font-size: 15px; }
      .key span::before { content: ''; display: inline-block; width: 12px; height: 14px; margin-right: 8px; border: 1.5px solid var(--ink); vertical-align: -2px; }
      .key .filled::before { background: var(--fill); border-color: var(--fill); }
      .key.dim .filled::before { background: var(--bar); border-color: var(--bar); border-top-color: var(--ink); }
      .key .dashed::before { border-style: dashed; border-width: 1px; }
      .across { overflow-x: auto; }
      table { max-width: 860px; font-size: 17px; }
      th, td { padding: 7px 0 7px 16px; border-bottom: var(--hair-width) solid var(--hair); }
      th:first-child { padding-left: 0; }
      thead th { font-size: 15px; vertical-align: bottom; }
      tbody th { color: var(--ink); }
      td { white-space: nowrap; }
      @media (max-width: 719px) {
        fieldset { grid-template-columns: minmax(0, 1fr) minmax(0, 1fr); }
        fieldset > div:first-of-type { grid-column: 1 / -1; }
        table { font-size: 15px; }
        th, td { padding-left: 10px; }
      }
    `,
  ];

  declare app: App;
  declare sides: Sides | null;
  declare loaded: Loaded | null;
  declare refusal: Refusal | null;
  declare wrong: { which: Which; text: string } | null;

  private asked = '';
  private kept: Shown | null = null;
  private readonly narrow = matchMedia('(max-width: 719px)');

  constructor() {
    super();
    this.sides = null;
    this.loaded = null;
    this.refusal = null;
    this.wrong = null;
    new Listening(this, () => [this.app.live, this.app.selected, this.app.light]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    import('../../charts/time-chart.ts').then(
      () => this.requestUpdate(),
      () => this.requestUpdate(),
    );
  }

  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    const now = agentNow(this.app.live.value, this.app.clock.nowMs());
    if (live === null || now === null) return;
    const ids = this.app.live.value.stations.map(({ station }) => station.id);
    const { id, zone } = live.station;
    const inOrder = [id, ...ids.filter(other => other !== id)];
    this.sides ??= sidesOf(location.search, inOrder, this.timesIn(zone).date(now));
    const key = `${addressOf(this.sides)} ${this.app.live.value.hello?.heardMs}`;
    if (key === this.asked) return;
    this.asked = key;
    void this.load(this.sides, key);
  }

  private async load(sides: Sides, key: string): Promise<void> {
    const ask = ({ station, from, to }: Side) => dayApi(this.app.api, station).ledger(from, to);
    const [one, other] = await Promise.all([ask(sides.one), ask(sides.other)]);
    if (this.asked !== key) return;
    this.refusal = one.ok ? (other.ok ? null : other.refusal) : one.refusal;
    if (one.ok && other.ok) this.loaded = { sides, answers: [one.value, other.value] };
  }

  private readonly timesIn = (zone: string): Times =>
    timesFor(this.app.locale, zone, this.app.live.value.display.clock);

  protected override render() {
    const { sides, loaded } = this;
    const way = html`<nav class="others"><a href="/ledger">${words.TO_LEDGER}</a></nav>`;
    if (selectedStation(this.app) === null && this.app.live.value.hello !== null)
      return html`<h1>${words.NO_STATION}</h1>${way}`;
    if (sides === null || (loaded === null && this.refusal === null)) return html`<h1>${words.LOADING}</h1>`;
    if (this.refusal !== null)
      return html`<h1>${words.FAILED}</h1><p class="sure">${refusedText(this.refusal)}</p>${way}${this.form(sides)}`;
    const { answers } = loaded!;
    const formats = formatsFor(this.app.locale, 'C');
    const times = this.timesIn(answers[0].zone);
    const { beside, drawing } = this.shown(loaded!, formats, times);
    const names = this.names(loaded!.sides, answers[0].today, times);
    const { headline, sure } = besideTold(beside, names, formats);
    return html`<h1>${headline}</h1><p class="sure">${sure}</p>${way}
      ${this.chart(drawing, names)}
      ${this.table(beside, names, formats)}
      ${this.form(sides)}`;
  }

  /** By station where two are compared over the same days, by period where one is, else by both. */
  private names({ one, other }: Sides, today: string, times: Times): [string, string] {
    const nameOf = ({ station }: Side) =>
      this.app.live.value.stations.find(live => live.station.id === station)?.station.name ?? station;
    const period = ({ from, to }: Side) => words.period(times.dayMonth(from, today), times.dayMonth(to, today));
    if (one.station === other.station) return [period(one), period(other)];
    if (one.from === other.from && one.to === other.to) return [nameOf(one), nameOf(other)];
    return [words.sideName(nameOf(one), period(one)), words.sideName(nameOf(other), period(other))];
  }

  /** Kept until what was answered, or how it is written, changes: readings come each second. */
  private shown(loaded: Loaded, formats: Formats, times: Times): Shown {
    const of = [loaded, formats, times];
    if (this.kept === null || this.kept.of.some((one, i) => one !== of[i])) {
      const beside = besideOf(loaded.sides, loaded.answers);
      this.kept = { of, beside, drawing: besideDrawable(beside, loaded.answers[0].today, formats, times) };
    }
    return this.kept;
  }

  private chart(drawing: BesideDrawing, [one, other]: [string, string]) {
    if (customElements.get('time-chart') === undefined) return html`<div class="chart-room"></div>`;
    return html`<time-chart .drawable=${drawing} .height=${this.narrow.matches ? 260 : 300} .label=${words.DRAWING}
        .summary=${drawing.summary} .light=${this.app.light.value}></time-chart>
      <p class="key ${this.app.light.value === 'night' ? 'dim' : ''}"><span class="filled">${words.keyFilled(one)}</span><span>${words.keyOutlined(other)}</span><span class="dashed">${words.KEY_DASHED}</span></p>`;
  }

  private table(beside: Beside, [one, other]: [string, string], formats: Formats) {
    const [a, b] = this.loaded!.answers;
    const money = a.money?.currency === b.money?.currency ? moneyOf(a, formats) : null;
    return html`<h2>${words.TABLE}</h2><div class="across" tabindex="0" role="region" aria-label=${words.TABLE}><table>
      <caption class="unseen">${words.TABLE}</caption>
      <thead><tr><th scope="col"><span class="unseen">${words.TABLE}</span></th><th scope="col">${one}</th><th scope="col">${other}</th><th scope="col">${words.DIFFERENCE}</th></tr></thead>
      <tbody>${besideRows(beside, formats, money).map(([name, ...cells]) => html`<tr><th scope="row">${name}</th>${cells.map(cell => html`<td>${cell}</td>`)}</tr>`)}</tbody>
    </table></div>`;
  }

  private form(sides: Sides) {
    return html`<h2>${words.CHOOSE}</h2><form novalidate @submit=${this.show}>${this.sideFields('one', words.ONE, sides.one)}${this.sideFields('other', words.OTHER, sides.other)}
      <button type="submit">${words.SHOW}</button></form>`;
  }

  private sideFields(which: Which, title: string, { station, from, to }: Side) {
    const stations = this.app.live.value.stations.map(live => live.station);
    const wrong = this.wrong?.which === which ? this.wrong.text : '';
    const date = (part: 'from' | 'to', label: string, value: string) =>
      html`<div><label for="${which}-${part}">${label}</label><input id="${which}-${part}" type="date" .value=${value}
        aria-invalid=${wrong === '' ? 'false' : 'true'} aria-describedby="${which}-wrong"></div>`;
    return html`<fieldset><legend>${title}</legend>
      <div><label for="${which}-station">${words.STATION}</label><select id="${which}-station">${stations.map(({ id, name }) => html`<option value=${id} ?selected=${id === station}>${name}</option>`)}</select></div>
      ${date('from', words.FROM, from)}${date('to', words.TO, to)}
      <div id="${which}-wrong" class="wrong" role="alert" ?hidden=${wrong === ''}>${wrong}</div></fieldset>`;
  }

  private readonly show = (event: Event) => {
    event.preventDefault();
    const value = (id: string) => (this.renderRoot.querySelector(`#${id}`) as HTMLInputElement).value;
    const side = (which: Which): Side => ({
      station: value(`${which}-station`),
      from: value(`${which}-from`),
      to: value(`${which}-to`),
    });
    const sides = { one: side('one'), other: side('other') };
    const found = (['one', 'other'] as const).find(which => wrongOf(sides[which]) !== null);
    this.wrong = found === undefined ? null : { which: found, text: this.wrongText(sides[found]) };
    if (found !== undefined) {
      void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>(`#${found}-from`)?.focus());
      return;
    }
    // The address can be kept and sent; the page that is shown stays the same one.
    history.replaceState(null, '', addressOf(sides));
    this.sides = sides;
  };

  private wrongText(side: Side): string {
    const kind = wrongOf(side);
    if (kind === 'date') return words.DATE_NEEDED;
    return kind === 'order' ? words.WRONG_ORDER : words.tooLong(String(MOST_DAYS));
  }
}

customElements.define('ledger-beside-view', LedgerBesideView);
