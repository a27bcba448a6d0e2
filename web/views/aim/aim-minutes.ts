/** The last minutes of Aim: what came in, with the marks on it. Points are taken as they come; it is drawn once a second. */
import { css, html, LitElement, nothing } from 'lit';
import type { WireMark } from '#messages';
import { aimDrawing, aimDrawingStyles } from '../../charts/aim-drawing.ts';
import { layoutAim } from '../../charts/aim-layout.ts';
import { asText, formatsFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow, type StationLive } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/aim.ts';
import { type Quantity, quantityOf } from './quantity.ts';
import { addPoint, fillFrom, KEEP_MS, spanFor, type TracePoint } from './trace.ts';

/** Readings closer together than this belong to one line, where the source is not slower. */
const LEAST_BRIDGE_MS = 10_000;
/** Of the drawing, on a phone and on a wide page. */
const HEIGHTS_PX = [124, 190] as const;
const WIDE_PX = 480;
const LEAST_PX = 200;
const SECOND_MS = 1_000;

export class AimMinutes extends LitElement {
  static override properties = {
    app: { attribute: false },
    quantity: { attribute: false },
    marks: { attribute: false },
    widthPx: { state: true },
  };
  static override styles = [shared, aimDrawingStyles, css`.room { min-height: ${HEIGHTS_PX[0]}px; }`];

  declare app: App;
  declare quantity: Quantity | null;
  declare marks: readonly WireMark[];
  declare widthPx: number;
  private points: TracePoint[] = [];
  /** What the points are of. */
  private of = '';
  private stops: (() => void)[] = [];
  private readonly resized = new ResizeObserver(entries => {
    const width = Math.floor(entries.at(-1)?.contentRect.width ?? 0);
    if (width > 0) this.widthPx = Math.max(LEAST_PX, width);
  });

  constructor() {
    super();
    this.quantity = null;
    this.marks = [];
    this.widthPx = 0;
    new Listening(this, () => [this.app.tick, this.app.selected]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.stops = [
      this.app.live.listen(() => this.take()),
      this.app.connection.listen(() => {
        if (this.app.connection.value.phase === 'open') void this.load();
      }),
    ];
    this.take();
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    for (const stop of this.stops) stop();
    this.resized.disconnect();
  }

  private bridgeMs(live: StationLive): number {
    return Math.max(LEAST_BRIDGE_MS, live.status?.staleAfterMs ?? 0);
  }

  /** Takes the newest reading; another station or quantity begins anew. */
  private take(): void {
    const live = selectedStation(this.app);
    const reading = live?.reading?.wire;
    if (live === null || reading === undefined) return;
    const quantity = quantityOf(reading, this.quantity);
    if (quantity === null) return;
    const of = `${live.station.id} ${quantity}`;
    if (of !== this.of) {
      this.of = of;
      this.points = [];
      void this.load();
    }
    addPoint(this.points, { at: Date.parse(reading.at), watts: reading.quantities[quantity] ?? null });
  }

  private async load(): Promise<void> {
    const { of } = this;
    const [station, quantity] = of.split(' ');
    const live = selectedStation(this.app);
    const nowAt = agentNow(this.app.live.value, this.app.clock.nowMs());
    if (live === null || nowAt === null || quantity === undefined) return;
    const found = await this.app.api.series(station!, [quantity], nowAt - KEEP_MS, nowAt, KEEP_MS / SECOND_MS);
    if (!found.ok || of !== this.of) return;
    fillFrom(this.points, found.value, quantity, this.bridgeMs(live));
    this.requestUpdate();
  }

  protected override updated(): void {
    const room = this.renderRoot.querySelector('.room');
    if (room !== null) this.resized.observe(room);
  }

  protected override render() {
    const live = selectedStation(this.app);
    const nowAt = agentNow(this.app.live.value, this.app.clock.nowMs());
    return html`<div class="room">${live === null || nowAt === null || this.widthPx === 0 ? nothing : this.drawing(live, nowAt)}</div>`;
  }

  private drawing(live: StationLive, nowAt: number) {
    const marks = this.marks.map(({ letter, at }) => ({ letter, at: Date.parse(at) }));
    const spanMs = spanFor(
      nowAt,
      marks.map(({ at }) => at),
    );
    const plan = { nowAt, spanMs, points: this.points, bridgeMs: this.bridgeMs(live), marks };
    const layout = layoutAim(plan, this.widthPx, HEIGHTS_PX[this.widthPx < WIDE_PX ? 0 : 1]);
    const minutes = spanMs / 60_000;
    return aimDrawing(layout, this.says(nowAt - spanMs, minutes, layout.marks), words.ago(minutes), words.NOW);
  }

  private says(fromAt: number, minutes: number, marks: readonly { letter: string }[]): string {
    const formats = formatsFor(this.app.locale, 'C');
    const watts = this.points.flatMap(({ at, watts: w }) => (at >= fromAt && w !== null ? [w] : []));
    if (watts.length === 0) return `${words.DRAWING}: ${words.NO_DRAWING}`;
    const text = (value: number) => asText(formats.power(value));
    const letters = marks.map(({ letter }) => letter).join(', ');
    return words.drawingSays(minutes, text(Math.min(...watts)), text(Math.max(...watts)), letters);
  }
}

customElements.define('aim-minutes', AimMinutes);
