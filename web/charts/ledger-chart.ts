/**
 * The element that holds the Ledger's drawing: bars and words as an SVG, the carpet as a canvas of one pixel a cell under
 * it, and a cursor over days for pointer and keyboard. A click or Enter opens the day by its link.
 */
import { html, LitElement, nothing, svg, type TemplateResult } from 'lit';
import * as words from '../words/ledger.ts';
import { carpetPixels } from './ledger-carpet.ts';
import { ledgerChartStyles } from './ledger-chart-styles.ts';
import type { Bin, Column } from './ledger-columns.ts';
import { type LedgerDrawable, type LedgerLayout, ledgerLayout } from './ledger-layout.ts';
import { placeAfter } from './place-keys.ts';

export interface LedgerShown extends LedgerDrawable {
  read(column: Column, bin: Bin): string;
  open(column: Column): string;
  look(column: Column): string;
  /** Address of a day's page. */
  address(date: string): string;
  summary: string;
}

/** A month to be looked at, by its first date: from columns of more than a day. */
export type MonthWanted = CustomEvent<string>;

const LEAST_PX = 280;
/** A sheet of A4 between usual margins. */
const PAPER_PX = 720;

export class LedgerChart extends LitElement {
  static override properties = {
    shown: { attribute: false },
    roomPx: { attribute: false },
    light: { type: String, reflect: true },
    widthPx: { state: true },
    place: { state: true },
  };
  static override styles = ledgerChartStyles;

  declare shown: LedgerShown | null;
  /** How wide its place is, where that is known before it is drawn; 0 where it is to be measured, which takes a layout. */
  declare roomPx: number;
  declare light: string;
  declare widthPx: number;
  declare place: number | null;
  private layout: LedgerLayout | null = null;
  private touched = matchMedia('(hover: none)').matches;
  private readonly print = matchMedia('print');
  private readonly sizes = new ResizeObserver(() => this.measure());

  constructor() {
    super();
    this.shown = null;
    this.roomPx = 0;
    this.light = '';
    this.widthPx = 0;
    this.place = null;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.sizes.observe(this);
    this.print.addEventListener('change', this.printed);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.sizes.disconnect();
    this.print.removeEventListener('change', this.printed);
  }

  private measure(): void {
    this.fit(this.clientWidth);
  }

  private fit(px: number): void {
    if (!this.print.matches && px > 0) this.widthPx = Math.max(LEAST_PX, Math.floor(px));
  }

  /** Paper gets a drawing made for its width, at once: what is printed is what stands there when this returns. */
  private readonly printed = () => {
    if (this.print.matches) this.widthPx = PAPER_PX;
    else this.measure();
    this.performUpdate();
    this.paintCarpet();
  };

  protected override willUpdate(changed: Map<string, unknown>): void {
    if (this.widthPx === 0) this.fit(this.roomPx);
    if (this.widthPx === 0) this.measure();
    if (this.shown === null || this.widthPx === 0) return;
    if (!changed.has('shown') && !changed.has('widthPx') && this.layout !== null) return;
    const wide = this.widthPx > 700;
    this.layout = ledgerLayout(this.shown, {
      widthPx: this.widthPx,
      barsPx: wide ? 186 : 150,
      carpetPx: wide ? 200 : 156,
    });
  }

  protected override render() {
    const { layout, shown } = this;
    if (layout === null || shown === null) return html`<div class="drawing"></div>`;
    const { list, bin } = layout.columns;
    const place = Math.min(this.place ?? list.length - 1, list.length - 1);
    const column = list[place]!;
    return html`<div class="drawing" role="slider" tabindex="0" aria-label=${words.LEDGER_DRAWING} aria-describedby="summary"
        aria-valuemin="0" aria-valuemax=${list.length - 1} aria-valuenow=${place} aria-valuetext=${shown.read(column, bin)}
        @keydown=${this.onKey} @pointermove=${this.point} @pointerdown=${this.point} @pointerleave=${this.leave}
        @blur=${this.blurred} @click=${this.clicked}><canvas></canvas>${drawing(layout, this.place)}</div>
      <div class="reading">${this.place === null ? html`<span class="hint">${this.touched ? words.HOW_TO_TAP : words.HOW_TO_OPEN}</span>` : html`<span aria-hidden="true">${shown.read(column, bin)}</span> ${this.opening(column, bin, shown)}`}</div>
      ${layout.letters.length === 0 ? nothing : html`<p class="notes">${layout.letters.map(({ letter, text }) => html`<span><b>${letter}</b> ${text}</span> `)}</p>`}
      ${bin === 'day' ? nothing : html`<p class="binned">${bin === 'week' ? words.IN_WEEKS : words.IN_MONTHS}</p>`}
      <p id="summary" hidden>${shown.summary}</p>`;
  }

  private opening(column: Column, bin: Bin, shown: LedgerShown) {
    if (bin !== 'day') return html`<button class="open" @click=${this.look}>${shown.look(column)}</button>`;
    return column.kind === 'missing'
      ? nothing
      : html`<a class="open" href=${shown.address(column.days[0]!.date)}>${shown.open(column)}</a>`;
  }

  protected override updated(changed: Map<string, unknown>): void {
    if (changed.has('shown') || changed.has('widthPx') || changed.has('light')) this.paintCarpet();
  }

  /** One pixel a cell, stretched by the browser to the place the layout gives it, in shares so that paper may scale it. */
  private readonly paintCarpet = () => {
    const canvas = this.renderRoot.querySelector('canvas');
    if (canvas === null || this.layout === null) return;
    const { carpet, widthPx, heightPx, left, right, top, bottom } = this.layout;
    canvas.hidden = carpet === null;
    if (carpet === null) return;
    const share = (px: number, of: number) => `${(100 * px) / of}%`;
    canvas.style.left = share(left, widthPx);
    canvas.style.width = share(right - left, widthPx);
    canvas.style.top = share(top, heightPx);
    canvas.style.height = share(bottom - top, heightPx);
    canvas.width = carpet.days;
    canvas.height = carpet.rows;
    const ink = this.print.matches ? '#000000' : getComputedStyle(this).getPropertyValue('--deepest').trim();
    const pixels = carpetPixels(
      carpet,
      [1, 3, 5].map(i => Number.parseInt(ink.slice(i, i + 2), 16) || 0),
    );
    canvas.getContext('2d')!.putImageData(new ImageData(pixels, carpet.days, carpet.rows), 0, 0);
  };

  private columnAt(event: PointerEvent | MouseEvent): number | null {
    const { layout } = this;
    const box = this.renderRoot.querySelector('.drawing')!.getBoundingClientRect();
    if (layout === null || box.width === 0) return null;
    const px = ((event.clientX - box.left) / box.width) * layout.widthPx;
    const day = Math.floor(((px - layout.left) / (layout.right - layout.left)) * layout.columns.days);
    const found = layout.columns.list.findIndex(({ from, to }) => day >= from && day < to);
    return found < 0 ? null : found;
  }

  private readonly point = (event: PointerEvent) => {
    this.touched = event.pointerType === 'touch';
    const found = this.columnAt(event);
    if (found !== null) this.place = found;
  };

  private readonly leave = (event: PointerEvent) => {
    // A finger that is lifted has read nothing yet.
    if (event.pointerType !== 'touch' && !this.renderRoot.querySelector('.reading:hover, .reading:focus-within'))
      this.place = null;
  };

  private readonly blurred = (event: FocusEvent) => {
    const to = event.relatedTarget;
    if (!(to instanceof Node && this.renderRoot.contains(to)) && !this.touched) this.place = null;
  };

  /** By mouse at once; a finger only chooses where days are too thin to be hit, and opens by the link beneath. */
  private readonly clicked = (event: MouseEvent) => {
    const found = this.columnAt(event);
    if (found === null || this.layout === null) return;
    const { columns, left, right } = this.layout;
    const { from, to } = columns.list[found]!;
    const widthPx = ((to - from) * (right - left)) / columns.days;
    this.place = found;
    if (!this.touched || widthPx >= 24) this.openPlace();
  };

  private openPlace(): void {
    void this.updateComplete.then(() => this.renderRoot.querySelector<HTMLElement>('.open')?.click());
  }

  private readonly look = () => {
    const column = this.layout?.columns.list[this.place ?? -1];
    if (column === undefined) return;
    const month = `${column.days.at(-1)!.date.slice(0, 7)}-01`;
    this.place = null;
    this.dispatchEvent(new CustomEvent('month-wanted', { detail: month }) satisfies MonthWanted);
  };

  private readonly onKey = (event: KeyboardEvent) => {
    const last = (this.layout?.columns.list.length ?? 0) - 1;
    if (last < 0) return;
    const from = Math.min(this.place ?? last, last);
    if (event.key === 'Enter' || event.key === ' ') {
      event.preventDefault();
      this.place = from;
      this.openPlace();
      return;
    }
    const to = placeAfter(event.key, from, last);
    if (to === null) return;
    event.preventDefault();
    this.place = to;
  };
}

/** All but the carpet. */
function drawing(layout: LedgerLayout, place: number | null): TemplateResult {
  const { widthPx, heightPx, left, right, bars, columns, top, bottom } = layout;
  const at = place === null ? null : columns.list[Math.min(place, columns.list.length - 1)]!;
  const cursor = at === null ? 0 : left + (((at.from + at.to) / 2) * (right - left)) / columns.days;
  return html`<svg viewBox="0 0 ${widthPx} ${heightPx}" width=${widthPx} height=${heightPx} aria-hidden="true">${svg`
    <defs><pattern id="hatch" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line class="hatching" x1="3" y1="0" x2="3" y2="6"></line></pattern></defs>
    <path class="whole" d=${bars.whole}></path><path class="now" d=${bars.today}></path>
    ${layout.scale.map(({ y }) => svg`<line class="step" x1=${left} x2=${right} y1=${y} y2=${y}></line>`)}
    <path class="edges" d=${bars.edges}></path><path class="partly" d=${bars.partly}></path>
    ${layout.spans.map(({ x, width }) => svg`<rect fill="url(#hatch)" x=${x} y=${bars.top} width=${width} height=${bars.base - bars.top}></rect><rect fill="url(#hatch)" x=${x} y=${top} width=${width} height=${bottom - top}></rect>`)}
    <line class="base" x1=${left} x2=${right} y1=${bars.base} y2=${bars.base}></line>
    ${layout.clear === null ? nothing : svg`<path class="clear" d=${layout.clear.path}></path><text x=${layout.clear.x} y=${layout.clear.y}>${words.CLEAR_SKY_DAY}</text>`}
    <text class="end" x=${layout.unit.x} y=${layout.unit.y}>${layout.unit.text}</text>
    ${[...layout.scale, ...layout.hours].map(({ x, y, text }) => svg`<text class="end" x=${x} y=${y + 4.5}>${text}</text>`)}
    ${layout.darkest === null ? nothing : svg`<text class="end" x=${layout.darkest.x} y=${layout.darkest.y}>${layout.darkest.text}</text>`}
    ${layout.shade === null ? nothing : svg`<path class="halo" d=${layout.shade.path}></path><path class="lead" d=${layout.shade.path}></path><text class=${`strong-ink ${layout.shade.anchor}`} x=${layout.shade.label.x} y=${layout.shade.label.y}>${layout.shade.label.text}</text>`}
    ${layout.names.map(({ x, y, text }) => svg`<text class="name" x=${x} y=${y}>${text}</text>`)}
    ${layout.letters.map(({ path, x, letter }) => svg`<path class="lead" d=${path}></path><text class="ink middle" x=${x} y=${layout.lettersY}>${letter}</text>`)}
    ${layout.marks.map(({ path, textX, y, anchor, text }) => svg`<path class="lead" d=${path}></path><text class=${`ink ${anchor}`} x=${textX} y=${y}>${text}</text>`)}
    ${at === null ? nothing : svg`<line class="cursor" x1=${cursor} x2=${cursor} y1=${bars.top} y2=${bottom}></line>`}`}</svg>`;
}

customElements.define('ledger-chart', LedgerChart);
