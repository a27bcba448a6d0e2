/** Asks once where the input comes from when nothing knows: one tap, and until then none of it is harvest. */
import { css, html, LitElement, nothing } from 'lit';
import { asText } from '../../format.ts';
import type { Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words.ts';
import { asksForSource } from './asks.ts';
import type { Situation } from './situation.ts';

export class SourceQuestion extends LitElement {
  static override properties = { app: { attribute: false }, situation: { attribute: false }, refusal: { state: true } };
  static override styles = [
    shared,
    css`p { margin: 12px 0 8px; }
      .row { gap: 8px; }
      button { padding: 8px 14px; } .why { color: var(--soft); font-size: 15px; margin: 8px 0 0; }`,
  ];

  declare app: App;
  declare situation: Situation;
  declare refusal: Refusal | null;

  constructor() {
    super();
    this.refusal = null;
  }

  protected override render() {
    const s = this.situation;
    if (!asksForSource(s)) return nothing;
    const power = asText(s.formats.power(s.live!.reading!.wire.quantities.inputPowerW ?? null));
    return html`<div role="group" aria-label=${words.sourceQuestion(power)}>
      <p>${words.sourceQuestion(power)}</p>
      <div class="row">${Object.entries(words.SOURCES).map(
        ([source, label]) =>
          html`<button type="button" @click=${() => this.choose(source as keyof typeof words.SOURCES)}>${label}</button>`,
      )}</div>
      <p class="why">${words.SOURCE_WHY}</p>
      ${this.refusal === null ? nothing : html`<p class="wrong" role="alert">${this.refusal.message} ${this.refusal.fix}</p>`}
    </div>`;
  }

  private async choose(source: keyof typeof words.SOURCES): Promise<void> {
    const answer = await this.app.nameInputSource(this.situation.live!.station.id, source);
    this.refusal = answer.ok ? null : answer.refusal;
  }
}

customElements.define('source-question', SourceQuestion);
