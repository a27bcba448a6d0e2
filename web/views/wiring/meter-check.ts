/** Before you plug in: what a meter should show now, and what the number it shows points to. Nothing of it is kept. */
import { html, LitElement, nothing } from 'lit';
import { meterNow, mistakesAt, sayExpected, sayMistake, type Units } from '#energy/wiring/index';
import { shared } from '../../styles/shared.ts';
import { celsiusOf, type TemperatureUnit, unitSign } from '../../temperature.ts';
import { numberTyped } from '../../typed-text.ts';
import * as words from '../../words/wiring.ts';
import type { Wiring } from './model.ts';
import { numberField } from './number-field.ts';
import { wiringViewStyles } from './wiring-styles.ts';

const LIT = ['bright', 'cloudy', 'none'] as const;
type NowLit = (typeof LIT)[number];

export class MeterCheck extends LitElement {
  static override properties = {
    wiring: { attribute: false },
    units: { attribute: false },
    scale: { attribute: false },
    reading: { state: true },
    air: { state: true },
    light: { state: true },
    dark: { type: Boolean },
  };
  static override styles = [shared, wiringViewStyles];

  declare wiring: Wiring;
  declare units: Units;
  declare scale: TemperatureUnit;
  declare reading: string;
  declare air: string;
  /** What the owner chose; null: as the sun of the place has it. */
  declare light: NowLit | null;
  /** The sun is below the horizon; unknown without a place, and then false. */
  declare dark: boolean;

  constructor() {
    super();
    this.reading = '';
    this.air = '';
    this.light = null;
    this.dark = false;
  }

  protected override render() {
    const { wiring, units } = this;
    const chosenLight = this.light ?? (this.dark ? 'none' : 'bright');
    if (chosenLight === 'none')
      return html`<p class="expected">${words.NO_LIGHT}</p><div class="fields">${this.lights(chosenLight)}</div>`;
    const light = chosenLight;
    const { kinds, chosen } = wiring;
    const airTyped = numberTyped(this.air);
    const airC = airTyped === null ? null : celsiusOf(airTyped, this.scale);
    const expected = meterNow(chosen.strings, kinds, { light, airC });
    if (expected === null) return html`<p>${words.NO_EXPECTATION}</p>`;
    const readingV = numberTyped(this.reading);
    const mistakes = readingV === null ? [] : mistakesAt(readingV, chosen.strings, kinds, { light, airC });
    return html`<p class="expected">${sayExpected(expected, units)}</p>
      <div class="fields">
        ${this.lights(light)}
        ${numberField({
          id: 'air',
          label: `${words.AIR_NOW}, ${unitSign(this.scale)}`,
          text: this.air,
          wrong: wrongNumber(this.air),
          take: text => {
            this.air = text;
          },
        })}
        ${numberField({
          id: 'reading',
          label: words.METER,
          text: this.reading,
          wrong: wrongNumber(this.reading),
          why: words.METER_WHY,
          take: text => {
            this.reading = text;
          },
        })}
      </div>
      <div role="status">${
        mistakes.length === 0
          ? nothing
          : html`<ul class="mistakes">${mistakes.map(code => html`<li>${sayMistake(code, readingV!, units)}</li>`)}</ul>`
      }</div>`;
  }

  private lights(lit: NowLit) {
    const choose = (event: Event) => {
      this.light = LIT.find(light => light === (event.target as HTMLSelectElement).value) ?? null;
    };
    return html`<div class="number"><label for="light-now">${words.LIGHT_NOW}</label>
      <select id="light-now" @change=${choose}>${LIT.map(
        light => html`<option value=${light} ?selected=${light === lit}>${words.LIGHTS[light]}</option>`,
      )}</select></div>`;
  }
}

const wrongNumber = (text: string): string =>
  text.trim() === '' || numberTyped(text) !== null ? '' : words.NOT_A_NUMBER;

customElements.define('meter-check', MeterCheck);
