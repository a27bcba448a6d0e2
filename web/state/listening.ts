/** Ties an element's updates to cells: it listens while it is on the page and no longer. */
import type { ReactiveController, ReactiveControllerHost } from 'lit';
import type { ReadCell } from './cell.ts';

export class Listening implements ReactiveController {
  private readonly host: ReactiveControllerHost;
  private readonly cells: () => readonly ReadCell<unknown>[];
  private stops: (() => void)[] = [];

  constructor(host: ReactiveControllerHost, cells: () => readonly ReadCell<unknown>[]) {
    this.host = host;
    this.cells = cells;
    host.addController(this);
  }

  hostConnected(): void {
    this.stops = this.cells().map(cell => cell.listen(() => this.host.requestUpdate()));
  }

  hostDisconnected(): void {
    for (const stop of this.stops) stop();
    this.stops = [];
  }
}
