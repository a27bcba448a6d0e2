/** Plan: what would this station run, for how long, can the sun keep up, and when is the wall cheap? */
import { html, LitElement, nothing } from 'lit';
import { type WallPlanTold, wallPlanOf } from '#energy/estimates/plan/planning';
import type { PlanAnswer, PlannedLoadSettings, PlanSettings } from '#messages';
import { monthsDrawing, monthsDrawingStyles } from '../../../charts/months-drawing.ts';
import { monthsLayout } from '../../../charts/months-layout.ts';
import { asText, type Formats, formatsFor, timesFor } from '../../../format.ts';
import { selectedStation } from '../../../masthead.ts';
import type { App } from '../../../state/app.ts';
import { Listening } from '../../../state/listening.ts';
import type { StationLive } from '../../../state/live.ts';
import { shared } from '../../../styles/shared.ts';
import * as words from '../../../words/plan.ts';
import { typedNumber } from '../../now/typed-number.ts';
import { outlastViewStyles } from '../outlast-styles.ts';
import { aDay, atOnce, howLong, monthTable, planHasSun, smallestTable } from './figures.ts';
import { loadOf, seenDraft } from './load-draft.ts';
import type { LoadKept } from './load-form.ts';
import { planApi } from './plan-api.ts';
import { planStyles } from './plan-styles.ts';
import { planTable } from './plan-table.ts';
import { type Reckoned, reckon, reserveOf } from './reckoned.ts';
import { planSentence } from './sentence.ts';
import { wallSection } from './wall.ts';
import { assumedLines, cautionLines, whyLines } from './why.ts';
import './load-form.ts';

const LEAST_PX = 288;
const NEW = -1;

/** The element of the address below Outlast. */
export const tagOf = async (): Promise<string> => 'plan-view';

export class PlanView extends LitElement {
  static override properties = {
    app: { attribute: false },
    basis: { state: true },
    plan: { state: true },
    failed: { state: true },
    notKept: { state: true },
    editing: { state: true },
    wall: { state: true },
    texts: { state: true },
    widthPx: { state: true },
  };
  static override styles = [shared, outlastViewStyles, monthsDrawingStyles, planStyles];

  declare app: App;
  declare basis: PlanAnswer | null;
  /** The owner's list, as it stands on this page. */
  declare plan: PlanSettings;
  declare failed: string;
  declare notKept: string;
  /** Row that is being changed, NEW for one more, null for none. */
  declare editing: number | null;
  /** undefined while it is being reckoned. */
  declare wall: WallPlanTold | null | undefined;
  /** What was typed and makes no sense. */
  declare texts: { dullDays: string | null; reserve: string | null };
  declare widthPx: number;
  private asked = '';
  private found: { basis: PlanAnswer; plan: PlanSettings; reckoned: Reckoned } | null = null;
  private later: ReturnType<typeof setTimeout> | undefined;
  private readonly narrow = matchMedia('(max-width: 719px)');
  private readonly resized = new ResizeObserver(entries => {
    const width = Math.floor(entries.at(-1)?.contentRect.width ?? 0);
    if (width > 0) this.widthPx = Math.max(LEAST_PX, width);
  });

  constructor() {
    super();
    this.basis = null;
    this.plan = { load: [], dullDays: 1.5 };
    this.failed = '';
    this.notKept = '';
    this.editing = null;
    this.wall = undefined;
    this.texts = { dullDays: null, reserve: null };
    this.widthPx = 0;
    new Listening(this, () => [this.app.selected, this.app.live]);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.resized.disconnect();
    clearTimeout(this.later);
  }

  protected override willUpdate(): void {
    const live = selectedStation(this.app);
    if (live === null) return;
    const key = `${live.station.id} ${this.app.live.value.hello?.heardMs}`;
    if (key === this.asked) return;
    if (this.asked.split(' ')[0] !== live.station.id) {
      this.basis = null;
      this.editing = null;
      this.texts = { dullDays: null, reserve: null };
    }
    this.asked = key;
    void this.load(live.station.id);
  }

  protected override updated(): void {
    const room = this.renderRoot.querySelector('.room');
    if (room !== null) this.resized.observe(room);
  }

  private async load(station: string): Promise<void> {
    const answer = await planApi(this.app.api).ask(station);
    if (selectedStation(this.app)?.station.id !== station) return;
    this.failed = answer.ok ? '' : `${answer.refusal.message} ${answer.refusal.fix}`;
    if (!answer.ok) return;
    this.basis = answer.value;
    if (this.editing === null) this.plan = answer.value.plan;
    this.reckonWall();
  }

  /** A tenth of a second of work: after what was changed is shown. */
  private reckonWall(): void {
    const { basis, plan } = this;
    if (basis === null) return;
    clearTimeout(this.later);
    this.later = setTimeout(() => {
      const { running } = this.reckoned(basis, plan);
      this.wall = wallPlanOf(basis, { loads: running, reservePct: reserveOf(basis, plan) });
    });
  }

  /** Each reading asks for a new picture, but only another list for another reckoning. */
  private reckoned(basis: PlanAnswer, plan: PlanSettings): Reckoned {
    if (this.found?.basis !== basis || this.found.plan !== plan)
      this.found = { basis, plan, reckoned: reckon(basis, plan) };
    return this.found.reckoned;
  }

  protected override render() {
    const live = selectedStation(this.app);
    const { basis } = this;
    if (live === null || basis === null) {
      const none = live === null && this.app.live.value.hello !== null;
      const headline = none ? words.NO_STATION : this.failed === '' ? words.LOADING : words.FAILED;
      return html`<h1>${headline}</h1><p class="sure">${none ? html`<a href="/setup">${words.OPEN_SETUP}</a>` : this.failed}</p>`;
    }
    return this.whole(live, basis, formatsFor(this.app.locale, 'C'));
  }

  private whole({ station }: StationLive, basis: PlanAnswer, formats: Formats) {
    const { plan } = this;
    const reckoned = this.reckoned(basis, plan);
    const times = timesFor(this.app.locale, station.zone, this.app.live.value.display.clock);
    const monthName = (month: number) => times.month(`2024-${String(month).padStart(2, '0')}-01`).split(' ')[0]!;
    const { headline, sure } = planSentence(basis, plan, reckoned, formats, monthName);
    const drawn = planHasSun(plan, reckoned);
    const cautions = cautionLines(plan);
    return html`<h1>${headline}</h1>
      <div class="line"><p class="sure">${sure.join(' ')}</p></div>
      <p class="back"><a href="/outlast">${words.BACK}</a></p>
      ${this.notKept === '' ? nothing : html`<p class="wrong" role="alert">${words.NOT_KEPT} ${this.notKept}</p>`}
      ${cautions.slice(0, -1).map(text => html`<p class="wrong">${text}</p>`)}
      ${drawn ? this.drawing(basis, reckoned, formats, monthName) : nothing}
      <div class="sides">
        <div>${this.list(basis, reckoned, formats)}</div>
        <div>${plan.load.length === 0 ? nothing : html`${howLong(reckoned)}${aDay(reckoned, basis, formats)}${atOnce(reckoned, basis, formats)}`}</div>
      </div>
      ${
        drawn
          ? html`<section class="below">${smallestTable(reckoned, basis, formats, monthName)}${this.number('dullDays', String(plan.dullDays))}${monthTable(reckoned, formats, monthName)}</section>`
          : nothing
      }
      ${plan.load.length === 0 ? nothing : wallSection({ basis, wall: this.wall, reservePct: reserveOf(basis, plan), formats, times, locale: this.app.locale, reserve: this.number('reserve', String(reserveOf(basis, plan))) })}
      <div class="below"><details><summary>${words.WHY}</summary><ul>${whyLines(basis, reckoned, formats).map(line => html`<li>${line}</li>`)}</ul></details>
        <h2>${words.ASSUMED}</h2><ul class="small">${assumedLines(basis, reckoned, monthName).map(line => html`<li>${line}</li>`)}</ul>
        <h2>${words.CAUTIONS}</h2><ul class="small">${cautions.map(line => html`<li>${line}</li>`)}</ul></div>`;
  }

  private drawing(basis: PlanAnswer, { sun, use }: Reckoned, formats: Formats, monthName: (month: number) => string) {
    const energy = (wh: number) => asText(formats.energy(wh));
    const needWh = use.need.p50 / basis.losses.mean[2];
    const bars = sun!.months.map(({ sunWh }) => ({ lowWh: sunWh.p10, middleWh: sunWh.p50, highWh: sunWh.p90 }));
    const said = sun!.months.map(({ month, sunWh }) =>
      words.monthSays(monthName(month), energy(sunWh.p10), energy(sunWh.p90)),
    );
    const layout = () =>
      monthsLayout(
        bars,
        needWh,
        words.MONTH_LETTERS,
        energy,
        words.NEED_LINE(energy(needWh)),
        this.widthPx,
        this.narrow.matches ? 210 : 240,
      );
    return html`<figure aria-label=${words.MONTHS}><div class="room">${this.widthPx === 0 ? nothing : monthsDrawing(layout(), words.monthsSay(energy(needWh), said.join(' ')))}</div>
      <figcaption>${words.MONTHS_MEAN}</figcaption></figure>`;
  }

  private list(basis: PlanAnswer, reckoned: Reckoned, formats: Formats) {
    const { plan, editing } = this;
    const form = (load: PlannedLoadSettings | null, row: number) =>
      html`<load-form .load=${load} .seen=${basis.seen} .formats=${formats} @kept=${(event: LoadKept) => this.change(row, event.detail)} @cancelled=${() => this.edit(null)}></load-form>`;
    const table = planTable({
      basis,
      plan,
      reckoned,
      formats,
      editing,
      edit: row => this.edit(row),
      form: load => form(load, editing!),
    });
    const blank = plan.load.length === 0 && basis.seen.length > 0;
    return html`${plan.load.length === 0 ? nothing : table}
      ${
        editing === NEW
          ? form(null, NEW)
          : html`<p class="actions row"><button type="button" id="add" @click=${() => this.edit(NEW)}>${words.ADD}</button>
            ${blank ? html`<button type="button" class="main" @click=${() => this.beginWithSeen(basis, formats)}>${words.BEGIN_SEEN}</button>` : nothing}</p>`
      }
      ${basis.continuousW === null || basis.surgeW === null ? html`<p class="ask">${words.LIMITS_MISSING} <a href="/setup">${words.LIMITS_LINK}</a>.</p>` : nothing}`;
  }

  private edit(row: number | null): void {
    const before = this.editing;
    this.editing = row;
    // The form took the place of what opened it: it goes back there.
    if (row === null)
      void this.updateComplete.then(() => {
        const buttons = [...this.renderRoot.querySelectorAll<HTMLElement>('.loads button.word')];
        (buttons[before ?? NEW] ?? (this.renderRoot.querySelector('#add') as HTMLElement)).focus();
      });
  }

  private change(row: number, kept: PlannedLoadSettings | null): void {
    const { load } = this.plan;
    const next =
      row === NEW
        ? [...load, ...(kept === null ? [] : [kept])]
        : load.flatMap((one, i) => (i !== row ? one : (kept ?? [])));
    this.edit(null);
    void this.keep({ ...this.plan, load: next });
  }

  private beginWithSeen({ seen }: PlanAnswer, formats: Formats): void {
    const load = seen.flatMap(one => {
      const read = loadOf(seenDraft(one, words.unnamed(asText(formats.power(one.powerW)))));
      return 'load' in read ? read.load : [];
    });
    void this.keep({ ...this.plan, load });
  }

  /** Reckoned with at once; kept where this page may. */
  private async keep(plan: PlanSettings): Promise<void> {
    this.plan = plan;
    this.wall = undefined;
    this.reckonWall();
    const kept = await planApi(this.app.api).keep(this.basis!.station, plan);
    this.notKept = kept.ok ? '' : `${kept.refusal.message} ${kept.refusal.fix}`;
  }

  private number(which: 'dullDays' | 'reserve', value: string) {
    const typed = this.texts[which];
    const label = which === 'dullDays' ? words.DULL_DAYS : words.RESERVE;
    return html`<div class="question"><label>${label} <input inputmode="decimal" autocomplete="off" .value=${typed ?? value} aria-invalid=${typed === null ? 'false' : 'true'}
      @change=${(event: Event) => this.take(which, (event.target as HTMLInputElement).value)}></label>
      ${typed === null ? (which === 'dullDays' ? html`<span class="ask">${words.DULL_DAYS_WHY}</span>` : nothing) : html`<p class="wrong">${words.WRONG[which]}</p>`}</div>`;
  }

  private take(which: 'dullDays' | 'reserve', text: string): void {
    const [least, most] = which === 'dullDays' ? [0.5, 14] : [0, 95];
    const value = typedNumber(text);
    const fine = value !== null && value >= least && value <= most;
    this.texts = { ...this.texts, [which]: fine ? null : text };
    if (fine)
      void this.keep({ ...this.plan, ...(which === 'dullDays' ? { dullDays: value } : { outageReservePct: value }) });
  }
}

customElements.define('plan-view', PlanView);
