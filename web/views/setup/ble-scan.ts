/** The search for Bluetooth stations in Setup: names, services, signal strength, and a button to take one. */
import { css, html, LitElement, nothing } from 'lit';
import { ScanAnswer } from '#messages';
import { MINUS } from '../../format.ts';
import { change } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/radio.ts';
import { bound, type Chosen, chosen, type Heard } from './peripherals.ts';

export class BleScan extends LitElement {
  static override properties = {
    app: { attribute: false },
    answer: { state: true },
    message: { state: true },
    searching: { state: true },
  };
  static override styles = [
    shared,
    css`
      p { margin: 6px 0; }
      .ask { color: var(--soft); font-size: 15px; }
      ul { margin: 8px 0 16px; padding: 0; list-style: none; border-top: var(--hair-width) solid var(--hair); }
      li { display: flex; flex-wrap: wrap; align-items: center; gap: 4px 16px; padding: 8px 0; border-bottom: var(--hair-width) solid var(--hair); }
      li > div { flex: 1 1 220px; overflow-wrap: anywhere; }
      small { display: block; color: var(--soft); font-size: 15px; }
    `,
  ];

  declare app: App;
  /** Takes the one that was chosen. */
  declare take: (chosen: Chosen) => void;
  declare answer: ScanAnswer | null;
  declare message: string;
  declare searching: boolean;

  constructor() {
    super();
    this.answer = null;
    this.message = '';
    this.searching = false;
  }

  private async search(): Promise<void> {
    this.searching = true;
    this.message = words.SEARCHING;
    const asked = await this.app.api.ask(ScanAnswer, '/api/scan', change('POST', { forS: 5 }));
    this.searching = false;
    this.answer = asked.ok ? asked.value : null;
    this.message = asked.ok ? toldOf(asked.value) : `${asked.refusal.message} ${asked.refusal.fix}`;
  }

  private choose(peripheral: Heard): void {
    this.take(chosen(peripheral, this.answer?.peripherals ?? []));
    this.message = words.CHOSEN;
  }

  protected override render() {
    const wrong = this.answer !== null && this.answer.trouble !== null;
    return html`<p><button type="button" ?disabled=${this.searching} @click=${() => void this.search()}>${words.SEARCH}</button></p>
      <p class="ask">${words.SEARCH_WHY}</p>
      <p role="status" class=${wrong ? 'wrong' : ''}>${this.message}</p>
      ${this.answer === null || this.answer.peripherals.length === 0 ? nothing : html`<ul>${this.answer.peripherals.map(one => this.row(one))}</ul>`}`;
  }

  private row(one: Heard) {
    const name = one.name ?? words.NAMELESS;
    const about = [
      words.strength(String(one.rssiDbm).replace('-', MINUS), bound(one.rssiDbm)),
      ...one.services.map(words.service),
      ...one.adapters.slice(0, 1).map(words.madeFor),
      ...(one.connectable ? [] : [words.HELD]),
    ];
    return html`<li><div>${name}<small>${about.join(' · ')}</small></div>
      <button type="button" aria-label=${words.choose(name)} @click=${() => this.choose(one)}>${words.CHOOSE}</button></li>`;
  }
}

function toldOf({ peripherals, trouble }: ScanAnswer): string {
  if (trouble !== null) return words.noBluetooth(trouble);
  return peripherals.length === 0 ? words.NOTHING_HEARD : words.heard(peripherals.length);
}

customElements.define('ble-scan', BleScan);
