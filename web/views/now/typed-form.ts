/** Numbers from the station's screen, for a station without a cable or what only its screen tells. */
import { css, html, LitElement, nothing } from 'lit';
import type { TypedValues, WireStation } from '#messages';
import type { App } from '../../state/app.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words.ts';
import { ALL_TYPED, type TypedField } from './typed-fields.ts';
import { typedNumber } from './typed-number.ts';

const MOST: Record<TypedField, number> = { inputPowerW: 20_000, outputPowerW: 20_000, stateOfChargePct: 100 };

export class TypedForm extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    fields: { attribute: false },
    wrong: { state: true },
    message: { state: true },
    busy: { state: true },
  };
  static override styles = [
    shared,
    css`
      form { max-width: 640px; margin-top: 24px; }
      .fields { display: grid; grid-template-columns: repeat(3, 1fr); gap: 16px; margin-bottom: 16px; }
      label { display: block; color: var(--soft); font-size: 15px; }
      input { font-size: 22px; }
      @media (max-width: 719px) { button.main { width: 100%; } .fields { gap: 8px; } }
    `,
  ];

  declare app: App;
  declare station: WireStation;
  /** Default: all three. */
  declare fields: readonly TypedField[];
  declare wrong: TypedField | null;
  declare message: string;
  declare busy: boolean;

  constructor() {
    super();
    this.fields = ALL_TYPED;
    this.wrong = null;
    this.message = '';
    this.busy = false;
  }

  protected override render() {
    return html`<form novalidate @submit=${(event: Event) => void this.send(event)} aria-labelledby="title">
      <h2 id="title">${words.TYPED_TITLE}</h2>
      <div class="fields">${this.fields.map(field => {
        const { label, unit } = words.TYPED_FIELDS[field];
        return html`<label>${label}, ${unit}<input name=${field} inputmode="decimal" autocomplete="off"
          aria-invalid=${this.wrong === field ? 'true' : 'false'} aria-describedby="message"></label>`;
      })}</div>
      <button class="main" ?disabled=${this.busy}>${words.TYPED_SEND}</button>
      <p id="message" role="status" class=${this.wrong === null ? '' : 'wrong'}>${this.message === '' ? nothing : this.message}</p>
    </form>`;
  }

  private async send(event: Event): Promise<void> {
    event.preventDefault();
    const form = event.target as HTMLFormElement;
    const values = Object.fromEntries(
      this.fields.map(f => [f, typedNumber((form.elements.namedItem(f) as HTMLInputElement).value)]),
    );
    const bad = this.fields.find(f => values[f] === null || values[f] === undefined || values[f] > MOST[f]);
    this.wrong = bad ?? null;
    if (bad !== undefined) {
      this.message = words.typedBad(words.TYPED_FIELDS[bad].label, String(MOST[bad]));
      (form.elements.namedItem(bad) as HTMLInputElement).focus();
      return;
    }
    this.busy = true;
    const answer = await this.app.typeValues(this.station.id, values as TypedValues);
    this.busy = false;
    this.message = answer.ok ? words.TYPED_DONE : `${answer.refusal.message} ${answer.refusal.fix}`;
    if (answer.ok) form.reset();
  }
}

customElements.define('typed-form', TypedForm);
