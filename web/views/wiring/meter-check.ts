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

export class MeterCheck extends LitElement {
  static override properties = {
    wiring: { attribute: false },
    units: { attribute: false },
    scale: { attribute: false },
    reading: { state: true },
    air: { state: true },
    light: { state: true },
  };
  static override styles = [shared, wiringViewStyles];

  declare wiring: Wiring;
  declare units: Units;
  declare scale: TemperatureUnit;
  declare reading: string;
  declare air: string;
  declare light: 'bright' | 'cloudy';

  constructor() {
    super();
    this.reading = '';
    this.air = '';
    this.light = 'bright';
  }

  protected override render() {
    const { wiring, units, light } = this;
    const { kinds, chosen } = wiring;
    const airTyped = numberTyped(this.air);
    const airC = airTyped === null ? null : celsiusOf(airTyped, this.scale);
    const expected = meterNow(chosen.strings, kinds, { light, airC });
    if (expected === null) return html`<p>${words.NO_EXPECTATION}</p>`;
    const readingV = numberTyped(this.reading);
    const mistakes = readingV === null ? [] : mistakesAt(readingV, chosen.strings, kinds, { light, airC });
    return html`<p class="expected">${sayExpected(expected, units)}</p>
      <div class="fields">
        ${this.lights()}
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

  private lights() {
    const choose = (event: Event) => {
      this.light = (event.target as HTMLSelectElement).value === 'cloudy' ? 'cloudy' : 'bright';
    };
    return html`<div class="number"><label for="light-now">${words.LIGHT_NOW}</label>
      <select id="light-now" @change=${choose}>${(['bright', 'cloudy'] as const).map(
        light => html`<option value=${light} ?selected=${light === this.light}>${words.LIGHTS[light]}</option>`,
      )}</select></div>`;
  }
}

const wrongNumber = (text: string): string =>
  text.trim() === '' || numberTyped(text) !== null ? '' : words.NOT_A_NUMBER;

customElements.define('meter-check', MeterCheck);
