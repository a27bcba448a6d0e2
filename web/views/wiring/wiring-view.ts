/** Wiring: may I plug these panels in? The sentence, the chosen way drawn, the port's limits, every other way. */
import { html, LitElement, nothing } from 'lit';
import { nightsIn } from '#energy/nights';
import { type Arrangement, type Caution, cautionsFor, type Units, type Way } from '#energy/wiring/index';
import type { StationSettings } from '#messages';
import { rulerDrawing, rulerStyles } from '../../charts/ruler-drawing.ts';
import { wiringDrawing, wiringStyles } from '../../charts/wiring-drawing.ts';
import { layoutWiring } from '../../charts/wiring-layout.ts';
import { layoutRuler } from '../../charts/wiring-ruler.ts';
import { type Formats, formatsFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { settingsApi } from '../../state/settings-api.ts';
import { shared } from '../../styles/shared.ts';
import type { TemperatureUnit } from '../../temperature.ts';
import * as words from '../../words/wiring.ts';
import { allTogether } from './all-together.ts';
import { kindsOf, type Missing, type Wiring, wiringOf } from './model.ts';
import { ampsRuler, drawingPlan, rulerSays, voltsRuler } from './plans.ts';
import { assumptionsOf, drawingSays, restsOn, sentenceOf, unitsOf } from './telling.ts';
import { waysTable } from './ways-table.ts';
import { type Typed, triedOf, whatIf } from './what-if.ts';
import { wiringViewStyles } from './wiring-styles.ts';
import './meter-check.ts';

/** Least width that is laid out for, px. */
const LEAST_PX = 288;

export class WiringView extends LitElement {
  static override properties = {
    app: { attribute: false },
    told: { state: true },
    others: { state: true },
    failed: { state: true },
    typed: { state: true },
    portIndex: { state: true },
    way: { state: true },
    widthPx: { state: true },
  };
  static override styles = [shared, wiringStyles, rulerStyles, wiringViewStyles];

  declare app: App;
  /** What the station was told of itself; null until read. */
  declare told: StationSettings | null;
  /** The same of every other station, as far as it could be read. */
  declare others: readonly StationSettings[];
  declare failed: string;
  declare typed: Typed;
  declare portIndex: number;
  /** The way that was asked to be drawn; null: the best. */
  declare way: Way | null;
  declare widthPx: number;
  private asked = '';
  private last: { from: readonly unknown[]; found: ReturnType<typeof wiringOf> } | null = null;
  private readonly resized = new ResizeObserver(entries => {
    const width = Math.floor(entries.at(-1)?.contentRect.width ?? 0);
    if (width > 0) this.widthPx = Math.max(LEAST_PX, width);
  });

  constructor() {
    super();
    this.told = null;
    this.others = [];
    this.failed = '';
    this.typed = {};
    this.portIndex = 0;
    this.way = null;
    this.widthPx = 0;
    new Listening(this, () => [this.app.live, this.app.selected]);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.resized.disconnect();
  }

  /** Asks for what the station was told when the station or the agent's run has changed. */
  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    if (live === null) return;
    const key = `${live.station.id} ${this.app.live.value.hello?.heardMs}`;
    if (key === this.asked) return;
    if (this.asked.split(' ')[0] !== live.station.id) {
      this.told = null;
      this.typed = {};
      this.portIndex = 0;
      this.way = null;
    }
    this.asked = key;
    void this.load(live.station.id);
  }

  protected override updated(): void {
    const room = this.renderRoot.querySelector('figure');
    if (room !== null) this.resized.observe(room);
  }

  private async load(id: string): Promise<void> {
    const { ofStation } = settingsApi(this.app.api);
    const others = this.app.live.value.stations.filter(({ station }) => station.id !== id);
    const [answer, ...rest] = await Promise.all([ofStation(id), ...others.map(({ station }) => ofStation(station.id))]);
    if (selectedStation(this.app)?.station.id !== id) return;
    this.others = rest.flatMap(one => (one.ok ? [one.value] : []));
    if (answer.ok) this.told = answer.value;
    this.failed = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
  }

  protected override render() {
    if (this.told === null) {
      if (this.failed !== '') return html`<h1>${words.WIRING_FAILED}</h1><p class="sure">${this.failed}</p>`;
      const none = this.app.live.value.hello !== null && selectedStation(this.app) === null;
      return html`<h1>${none ? words.WIRING_NO_STATION : words.WIRING_LOADING}</h1>
        ${none ? html`<p class="sure"><a href="/setup">${words.OPEN_SETUP}</a></p>` : nothing}`;
    }
    const scale: TemperatureUnit = this.app.live.value.display.temperature;
    const formats = formatsFor(this.app.locale, scale);
    const units = unitsOf(formats, scale);
    const nameKind = ({ ratedW }: { ratedW: number | null }) =>
      words.kindName(ratedW === null ? '' : units.watts(ratedW));
    const tried = triedOf(this.typed, kindsOf(this.told.panel, nameKind).length, scale);
    const { told, others, portIndex, way, typed } = this;
    const wiring = this.reckoned([told, others, typed, portIndex, way, scale], () =>
      wiringOf(told, { tried, portIndex, way, others }, nameKind),
    );
    if (!('chosen' in wiring)) return html`<h1>${words.NOTHING_TO_WIRE}</h1>${missing(wiring.missing)}`;
    return this.whole(wiring, units, formats, scale);
  }

  /** Each reading asks for a new picture, but only other numbers for another search over all ways. */
  private reckoned(from: readonly unknown[], reckon: () => ReturnType<typeof wiringOf>): ReturnType<typeof wiringOf> {
    if (this.last === null || from.some((value, i) => value !== this.last!.from[i]))
      this.last = { from, found: reckon() };
    return this.last.found;
  }

  private whole(wiring: Wiring, units: Units, formats: Formats, scale: TemperatureUnit) {
    const { coldest, rest } = restsOn(wiring, units, formats);
    const assumed = assumptionsOf(wiring.chosen, units);
    return html`<h1>${sentenceOf(wiring)}</h1>
      <p class="sure">${coldest === null ? words.coldestNotTold : html`${words.COLDEST} <b>${coldest}</b>`} · ${rest}</p>
      ${missing(wiring.missing)}
      <div class="sides">
        <div><figure>${this.widthPx === 0 ? nothing : this.drawing(wiring, units)}
          <figcaption>${drawingSays(wiring, units).join(' ')}</figcaption></figure>
          <div class="rulers">${this.widthPx === 0 ? nothing : this.rulers(wiring, units)}</div>
          <section class="before"><h2>${words.BEFORE}</h2>
            <meter-check .wiring=${wiring} .units=${units} .scale=${scale} .dark=${this.dark()}></meter-check></section></div>
        <div>${allTogether(wiring, units, (index, way) => this.drawAt(index, way))}${waysTable(wiring, units, arrangement => this.draw(arrangement))}</div>
      </div>
      <div class="below">
        ${this.whatIf(wiring, scale)}
        ${assumed.length === 0 ? nothing : html`<section><h2>${words.ASSUMED}</h2><ul>${assumed.map(text => html`<li>${text}</li>`)}</ul></section>`}
        <section><h2>${words.CAUTIONS}</h2>
          <ul>${cautionsFor([wiring.chosen]).map(caution)}</ul></section>
        <p class="actions"><button type="button" @click=${() => print()}>${words.PRINT}</button></p>
      </div>`;
  }

  /** The sun is down where the station stands, as far as its place is told. */
  private dark(): boolean {
    const nowAt = agentNow(this.app.live.value, this.app.clock.nowMs());
    const place = selectedStation(this.app)?.station.place ?? null;
    return nowAt !== null && nightsIn(nowAt, nowAt + 1, place).length > 0;
  }

  private drawing(wiring: Wiring, units: Units) {
    const says = [sentenceOf(wiring), ...drawingSays(wiring, units)].join(' ');
    return wiringDrawing(layoutWiring(drawingPlan(wiring, units), this.widthPx), says);
  }

  private rulers(wiring: Wiring, units: Units) {
    return [voltsRuler(wiring, units), ampsRuler(wiring, units)]
      .filter(plan => plan !== null)
      .map(plan => rulerDrawing(layoutRuler(plan, this.widthPx), rulerSays(plan)));
  }

  private whatIf({ kinds, ports, weather }: Wiring, scale: TemperatureUnit) {
    return whatIf({
      kinds,
      ports,
      portIndex: this.portIndex,
      coldestC: weather.coldestC,
      typed: this.typed,
      scale,
      type: (field, text) => {
        this.typed = { ...this.typed, [field]: text };
      },
      choosePort: index => {
        this.portIndex = index;
        this.way = null;
      },
      reset: () => {
        this.typed = {};
      },
    });
  }

  private draw({ strings }: Arrangement): void {
    this.drawAt(this.portIndex, strings);
  }

  private drawAt(portIndex: number, way: Way): void {
    this.portIndex = portIndex;
    this.way = way;
    // On a phone the drawing may be out of sight above the row that was pressed.
    void this.updateComplete.then(() => this.renderRoot.querySelector('h1')?.scrollIntoView({ block: 'nearest' }));
  }
}

/** A caution and what it rests on. */
const caution = ({ text, ground }: Caution) =>
  html`<li>${text}${ground === null ? nothing : html` <span class="ground">${words.ground(ground)}</span>`}</li>`;

/** What is not told, each with its way into Setup. */
const missing = (groups: readonly Missing[]) =>
  groups.length === 0
    ? nothing
    : html`<div class="missing">${groups.map(
        group => html`<p>${words.MISSING[group]} <a href="/setup#${group}">${words.missingLink(group)}</a></p>`,
      )}</div>`;

customElements.define('wiring-view', WiringView);
