/** How wide the room for a drawing is, px: watched while its view is on the page. */
import type { ReactiveController, ReactiveControllerHost } from 'lit';

const LEAST_PX = 288;

export class WidthOf implements ReactiveController {
  /** 0 until it is known. */
  px = 0;
  private readonly host: ReactiveControllerHost & { renderRoot: ParentNode };
  private readonly selector: string;
  private seen: Element | null = null;
  private readonly resized = new ResizeObserver(entries => {
    const width = Math.floor(entries.at(-1)?.contentRect.width ?? 0);
    const next = width > 0 ? Math.max(LEAST_PX, width) : this.px;
    if (next === this.px) return;
    this.px = next;
    this.host.requestUpdate();
  });

  constructor(host: ReactiveControllerHost & { renderRoot: ParentNode }, selector: string) {
    this.host = host;
    this.selector = selector;
    host.addController(this);
  }

  hostUpdated(): void {
    const room = this.host.renderRoot.querySelector(this.selector);
    if (room === this.seen) return;
    this.resized.disconnect();
    this.seen = room;
    if (room !== null) this.resized.observe(room);
  }

  hostDisconnected(): void {
    this.resized.disconnect();
    this.seen = null;
  }
}
