/** Letting a station go for a while, for the maker's own app or for storing it, and taking it up again. */
import { html, nothing, type TemplateResult } from 'lit';
import type { StationLive } from '../../state/live.ts';
import * as words from '../../words/radio.ts';

export interface LettingGo {
  /** As it runs now; null where it was never saved. */
  readonly live: StationLive | null;
  readonly release: (station: string) => void;
  readonly putAway: (station: string) => void;
  readonly takeUp: (station: string) => void;
}

export function lettingGo({ live, release, putAway, takeUp }: LettingGo): TemplateResult | typeof nothing {
  if (live === null || live.station.simulated || live.station.transport === 'typed') return nothing;
  const { id } = live.station;
  const phase = live.status?.phase;
  if (phase === 'released' || phase === 'away') {
    return html`<p>${phase === 'away' ? words.IS_AWAY : words.IS_RELEASED}</p>
      ${phase === 'away' ? html`<p><a href="/api/stations/${id}/put-away.ics" download>${words.TOP_UP}</a></p><p class="ask">${words.TOP_UP_WHY}</p>` : nothing}
      <p><button type="button" @click=${() => takeUp(id)}>${words.TAKE_UP}</button></p>`;
  }
  return html`<details class="within">
    <summary>${words.LET_GO}</summary>
    <p><button type="button" @click=${() => release(id)}>${words.RELEASE}</button></p>
    <p class="ask">${words.RELEASE_WHY}</p>
    <p><button type="button" @click=${() => putAway(id)}>${words.PUT_AWAY}</button></p>
    <p class="ask">${words.PUT_AWAY_WHY}</p>
  </details>`;
}
