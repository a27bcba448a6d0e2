/**
 * The figure of Aim: the watts of the newest reading, painted as each one comes, at the station's own rate. Its room is
 * fixed in ems of its own type: four characters and a unit, so that nothing moves between 999 W and 1.00 kW.
 */
import { css, html, LitElement } from 'lit';
import { formatsFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { shared } from '../../styles/shared.ts';
import { figureText, spareEms } from './figure-text.ts';
import { type Quantity, wattsOf } from './quantity.ts';

export class AimFigure extends LitElement {
  static override properties = {
    app: { attribute: false },
    quantity: { attribute: false },
    gone: { type: Boolean, reflect: true },
  };
  static override styles = [
    shared,
    css`
      /* Three digits and a point take 2.08 em of this typeface at weight 800; the least digit is 0.67 em tall. Thin by
         night, where so much ink would be a bright area. */
      .figure { --size: min(147px, (100vw - 32px) / 2.09); margin: 0; font-weight: var(--figure-weight, var(--strong-weight)); }
      .digits { display: block; width: 2.09em; font-size: var(--size); line-height: 0.8; letter-spacing: -0.03em; white-space: nowrap; }
      .unit { display: block; min-height: 1em; font-size: 34px; line-height: 1; white-space: nowrap; }
      :host([gone]) .figure { opacity: 0.55; }
      @media (min-width: 376px) {
        .figure { --size: min(180px, (100vw - 86px) / 2.08); display: flex; align-items: baseline; }
        .digits { width: 2.08em; }
        /* Beside what is written: moved, so that nothing is laid out anew. */
        .unit { transform: translateX(calc((0.04 - var(--spare, 0)) * var(--size))); }
      }
      @media (min-width: 720px) {
        .figure { --size: var(--wide-size); }
        .unit { font-size: calc(var(--size) * 0.3); }
      }
    `,
  ];

  declare app: App;
  /** As the agent judges; null: not told, or none. */
  declare quantity: Quantity | null;
  /** Old, or the station is not read: greyed. */
  declare gone: boolean;

  constructor() {
    super();
    this.quantity = null;
    this.gone = false;
    new Listening(this, () => [this.app.live, this.app.selected]);
  }

  protected override updated(): void {
    const digits = this.renderRoot.querySelector('.digits')!.textContent!;
    this.style.setProperty('--spare', spareEms(digits).toFixed(2));
  }

  protected override render() {
    const reading = selectedStation(this.app)?.reading?.wire ?? null;
    const watts = reading === null ? null : wattsOf(reading, this.quantity);
    const { text, unit } = figureText(watts, formatsFor(this.app.locale, 'C'));
    return html`<p class="figure"><span class="digits" data-essential>${text}</span><span class="unit">${unit}</span></p>`;
  }
}

customElements.define('aim-figure', AimFigure);
