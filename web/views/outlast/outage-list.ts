/** Outages of the last year, newest first, each with what was promised and what came. */
import { css, html, LitElement, nothing } from 'lit';
import { formatsFor, timesFor } from '../../format.ts';
import { outageTold } from '../../outage-told.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { type Outage, outageFrom } from '../../state/outage.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/outages.ts';

const LOOK_BACK_MS = 365 * 24 * 3_600_000;
const SHOWN = 12;

export class OutageList extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    zone: { attribute: false },
    outages: { state: true },
  };
  static override styles = [
    shared,
    css`
      ul { margin: 8px 0; padding-left: 20px; }
      li { margin: 6px 0; max-width: 90ch; }
      p { margin: 8px 0; color: var(--soft); }
    `,
  ];

  declare app: App;
  /** Id. */
  declare station: string;
  declare zone: string;
  declare outages: readonly Outage[] | null;
  private askedOf = '';

  constructor() {
    super();
    this.outages = null;
    new Listening(this, () => [this.app.outage]);
  }

  protected override willUpdate(): void {
    // Asked anew when an outage begins, ends or is put away.
    const key = `${this.station} ${this.app.outage.value?.startedAt} ${this.app.outage.value?.endedAt}`;
    const nowAt = agentNow(this.app.live.value, this.app.clock.nowMs());
    if (key === this.askedOf || nowAt === null) return;
    this.askedOf = key;
    void this.load(this.station, nowAt);
  }

  private async load(station: string, nowAt: number): Promise<void> {
    const answer = await this.app.api.outages(station, nowAt - LOOK_BACK_MS, nowAt);
    if (station !== this.station || !answer.ok) return;
    this.outages = answer.value.outages
      .map(outageFrom)
      .filter(outage => outage.endedAt !== null)
      .reverse()
      .slice(0, SHOWN);
  }

  protected override render() {
    const nowAt = agentNow(this.app.live.value, this.app.clock.nowMs());
    if (this.outages === null || nowAt === null) return nothing;
    if (this.outages.length === 0) return html`<p>${words.NO_OUTAGES}</p>`;
    const formats = formatsFor(this.app.locale, 'C');
    const times = timesFor(this.app.locale, this.zone, this.app.live.value.display.clock);
    return html`<ul>${this.outages.map(outage => {
      const day = times.dayMonth(times.date(outage.startedAt), times.date(nowAt));
      const { headline, lines } = outageTold(outage, formats, times, nowAt);
      return html`<li><b>${day}: ${headline}</b> ${lines.join(' ')}</li>`;
    })}</ul>`;
  }
}

customElements.define('outage-list', OutageList);
