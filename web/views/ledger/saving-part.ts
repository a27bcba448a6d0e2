/** Where readings are saved as files: closed at first, and only when it is opened its code is fetched. */
import { html } from 'lit';
import type { App } from '../../state/app.ts';

export interface Saved {
  readonly app: App;
  readonly station: string;
  /** Instants ISO 8601: from, and up to but without. */
  readonly fromAt: string;
  readonly toAt: string;
}

const fetched = () => void import('../ledger-saving/save-readings.ts').catch(() => undefined);

export const savingPart = (summary: string, { app, station, fromAt, toAt }: Saved) =>
  html`<details class="saving" @toggle=${fetched}><summary>${summary}</summary>
    <save-readings .app=${app} .station=${station} .fromAt=${fromAt} .toAt=${toAt}></save-readings></details>`;
