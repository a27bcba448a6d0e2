/** Asks once whether a station really tells other units now; until it is answered nothing of it is counted. */
import { css, html, LitElement, nothing } from 'lit';
import type { Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/units.ts';
import type { Situation } from './situation.ts';

export class UnitQuestion extends LitElement {
  static override properties = { app: { attribute: false }, situation: { attribute: false }, refusal: { state: true } };
  static override styles = [
    shared,
    css`p { margin: 12px 0 8px; } button { padding: 8px 14px; }
      .why { color: var(--soft); font-size: 15px; margin: 8px 0 0; }`,
  ];

  declare app: App;
  declare situation: Situation;
  declare refusal: Refusal | null;

  constructor() {
    super();
    this.refusal = null;
  }

  protected override render() {
    const { live, formats } = this.situation;
    const units = live?.status?.units;
    if (live === null || units === undefined) return nothing;
    const question = words.unitQuestion(units, value => formats.number(value, Number.isInteger(value) ? 0 : 1));
    return html`<div role="group" aria-label=${question}>
      <p>${question}</p>
      <button type="button" @click=${() => void this.confirm(live.station.id)}>${words.UNITS_CONFIRM}</button>
      <p class="why">${words.UNITS_WHY}</p>
      ${this.refusal === null ? nothing : html`<p class="wrong" role="alert">${this.refusal.message} ${this.refusal.fix}</p>`}
    </div>`;
  }

  private async confirm(station: string): Promise<void> {
    const answer = await this.app.api.confirmUnits(station);
    this.refusal = answer.ok ? null : answer.refusal;
  }
}

customElements.define('unit-question', UnitQuestion);
