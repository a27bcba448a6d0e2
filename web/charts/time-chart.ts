/**
 * The element that holds one drawing: sizes it, rebuilds it when its plan changes, and gives it a cursor for pointer
 * and keyboard whose reading is told in words. The words come from whoever made the plan.
 */
import { css, html, LitElement } from 'lit';
import uPlot from 'uplot';
import type { ChartPlan, Library } from './now-options.ts';
import { type Palette, paletteOf } from './palette.ts';
import { placeAfter } from './place-keys.ts';

/** What the element draws: a plan for a size, and words for each place of the cursor. */
export interface Drawable {
  plan(palette: Palette, widthPx: number, heightPx: number, library: Library): ChartPlan;
  /** Number of places the cursor can stand at. */
  count: number;
  read(index: number): string;
  /** Place the keyboard starts from. */
  start: number;
}

export class TimeChart extends LitElement {
  static override properties = {
    drawable: { attribute: false },
    label: { type: String },
    summary: { type: String },
    height: { type: Number },
    light: { type: String },
    place: { state: true },
  };

  static override styles = css`
    :host { display: block; }
    .drawing { position: relative; outline-offset: 2px; touch-action: pan-y; }
    .drawing:focus-visible { outline: 3px solid var(--ink); }
    .reading { min-height: 20px; margin: 0; color: var(--ink); font-size: 13px; line-height: 20px; text-align: right; }
    .uplot, .uplot *, .uplot *::before, .uplot *::after { box-sizing: border-box; }
    .u-wrap { position: relative; user-select: none; }
    .u-over, .u-under { position: absolute; }
    .u-under { overflow: hidden; }
    .uplot canvas { display: block; position: relative; width: 100%; height: 100%; }
    .u-axis, .u-select { position: absolute; pointer-events: none; }
    .u-cursor-x { position: absolute; left: 0; top: 0; height: 100%; border-right: 1px solid var(--ink); pointer-events: none; }
    .u-off { display: none; }
  `;

  declare drawable: Drawable | null;
  declare label: string;
  declare summary: string;
  declare height: number;
  declare light: string;
  declare place: number | null;

  private chart: uPlot | null = null;
  private readonly sizes = new ResizeObserver(() => this.draw());

  constructor() {
    super();
    this.drawable = null;
    this.label = '';
    this.summary = '';
    this.height = 320;
    this.light = '';
    this.place = null;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.sizes.observe(this);
    // Words on a canvas take the font that is there when they are painted: once more when ours has come.
    document.fonts.ready.then(
      () => this.draw(),
      () => this.draw(),
    );
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.sizes.disconnect();
    this.chart?.destroy();
    this.chart = null;
  }

  protected override render() {
    const count = this.drawable?.count ?? 0;
    const place = Math.min(this.place ?? this.drawable?.start ?? 0, Math.max(0, count - 1));
    const reading = this.place === null || count === 0 ? '' : this.drawable!.read(place);
    return html`<div
        class="drawing" role="slider" tabindex="0" aria-label=${this.label} aria-describedby="summary"
        aria-valuemin="0" aria-valuemax=${Math.max(0, count - 1)} aria-valuenow=${place}
        aria-valuetext=${count === 0 ? '' : this.drawable!.read(place)}
        @keydown=${this.onKey} @pointerleave=${this.leave} @blur=${this.leave}></div>
      <p class="reading" aria-hidden="true">${reading}</p>
      <p id="summary" hidden>${this.summary}</p>`;
  }

  protected override updated(changed: Map<string, unknown>): void {
    if (changed.has('drawable') || changed.has('height') || changed.has('light')) this.draw();
  }

  /** Draws what is known at the present size and in the present light. A few times a minute at most. */
  private draw(): void {
    const holder = this.renderRoot.querySelector<HTMLElement>('.drawing');
    const width = Math.floor(this.clientWidth);
    if (holder === null || this.drawable === null || width === 0) return;
    const palette = paletteOf(getComputedStyle(this));
    const library: Library = {
      stepped: uPlot.paths.stepped!({ align: 1 }),
      ratio: () => uPlot.pxRatio,
    };
    const plan = this.drawable.plan(palette, width, this.height, library);
    this.chart?.destroy();
    plan.options.hooks = { ...plan.options.hooks, setCursor: [u => this.followPointer(u)] };
    this.chart = new uPlot(plan.options, plan.data, holder);
    if (this.place !== null) this.showCursor(this.place);
  }

  private followPointer(u: uPlot): void {
    const index = u.cursor.idx;
    if (index !== null && index !== undefined && (u.cursor.left ?? -1) >= 0) this.place = index;
  }

  private readonly leave = () => {
    this.place = null;
    this.chart?.setCursor({ left: -10, top: -10 }, false);
  };

  private showCursor(index: number): void {
    const at = this.chart?.data[0][index];
    if (at === undefined) return;
    this.chart!.setCursor({ left: this.chart!.valToPos(at, 'x'), top: 1 }, false);
  }

  private readonly onKey = (event: KeyboardEvent) => {
    const last = (this.drawable?.count ?? 0) - 1;
    if (last < 0) return;
    const from = this.place ?? this.drawable!.start;
    const to = placeAfter(event.key, from, last);
    if (to === null) return;
    event.preventDefault();
    this.place = to;
    this.showCursor(to);
  };
}

customElements.define('time-chart', TimeChart);
