/**
 * What is recorded of a stretch of time, to be saved as files: how many readings, how large, what each form is for. It asks
 * once it is there, which is when its owner opened what it stands in.
 */
import { css, html, LitElement, nothing } from 'lit';
import { RecordingSize } from '#messages';
import { asText, type Formats, formatsFor } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/ledger-saving.ts';

const MANY_ROWS = 1_000_000;

export class SaveReadings extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: {},
    fromAt: {},
    toAt: {},
    size: { state: true },
  };
  static override styles = [
    shared,
    css`
      p { margin: 4px 0 8px; max-width: 72ch; }
      .small { color: var(--soft); font-size: 16px; }
      .files { display: flex; flex-wrap: wrap; gap: 0 32px; }
      .files a { display: inline-block; padding: 12px 0; }
    `,
  ];

  declare app: App;
  declare station: string;
  /** Instants ISO 8601: from, and up to but without. */
  declare fromAt: string;
  declare toAt: string;
  /** undefined: asked; null: could not be had. */
  declare size: RecordingSize | null | undefined;
  private asked = '';

  protected override willUpdate(): void {
    const address = this.addressOf('');
    if (address === this.asked) return;
    this.asked = address;
    this.size = undefined;
    void this.load(address);
  }

  private async load(address: string): Promise<void> {
    const found = await this.app.api.ask(RecordingSize, address);
    if (address === this.asked) this.size = found.ok ? found.value : null;
  }

  private addressOf(ending: string): string {
    const bounds = new URLSearchParams({ from: this.fromAt, to: this.toAt });
    return `/api/stations/${encodeURIComponent(this.station)}/recording${ending}?${bounds}`;
  }

  protected override render() {
    const { size } = this;
    const rows = size == null ? 1 : size.readings + size.minutes;
    return html`<p role="status">${sizeTold(size, formatsFor(this.app.locale, 'C'))}${rows > MANY_ROWS ? ` ${words.TOO_LONG}` : nothing}</p>
      ${
        rows === 0
          ? nothing
          : html`<p class="files"><a href=${this.addressOf('.csv')} download>${words.READINGS_CSV}</a>
              <a href=${this.addressOf('.parquet')} download>${words.READINGS_PARQUET}</a></p>
              <p class="small">${words.FORMS} ${words.MADE_ON_THE_WAY}</p>`
      }`;
  }
}

function sizeTold(size: RecordingSize | null | undefined, formats: Formats): string {
  if (size === undefined) return words.COUNTING;
  if (size === null) return words.NOT_COUNTED;
  if (size.readings + size.minutes === 0) return words.NOTHING;
  const number = (value: number) => formats.number(value, 0);
  const readings = words.count(size.readings, number(size.readings));
  const bytes = bytesText(size.csvBytes, formats);
  if (size.minutes === 0) return words.whole(readings, bytes);
  const means = words.minutes(size.minutes, number(size.minutes));
  return size.readings === 0 ? words.onlyMinutes(means, bytes) : words.withMinutes(readings, means, bytes);
}

/** To two digits: it is an estimate. */
function bytesText(bytes: number, formats: Formats): string {
  const [value, unit] =
    bytes >= 999_500_000 ? [bytes / 1e9, 'GB'] : bytes >= 950_000 ? [bytes / 1e6, 'MB'] : [bytes / 1e3, 'kB'];
  return asText({
    text: formats.number(value < 9.95 ? value : Number(value.toPrecision(2)), value < 9.95 ? 1 : 0),
    unit,
  });
}

customElements.define('save-readings', SaveReadings);
