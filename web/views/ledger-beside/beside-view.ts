/** Two stations, or two periods of one, beside each other. */
import { html, LitElement } from 'lit';
import type { App } from '../../state/app.ts';

export class LedgerBesideView extends LitElement {
  static override properties = { app: { attribute: false } };
  declare app: App;
  protected override render() {
    return html``;
  }
}

customElements.define('ledger-beside-view', LedgerBesideView);
