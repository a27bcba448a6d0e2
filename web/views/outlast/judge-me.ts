/** "Judge me": starts the judging of the owner's record, shows how far it has come, then what was found. */
import { css, html, LitElement, nothing } from 'lit';
import { JudgingAnswer } from '#messages';
import { asText, formatsFor, timesFor } from '../../format.ts';
import { type Answer, change } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/judging.ts';
import { judgedLines, judgedRows } from './judged.ts';

/** While it is under way the agent is asked so often, ms. */
const ASK_EVERY_MS = 2_000;

export class JudgeMe extends LitElement {
  static override properties = {
    app: { attribute: false },
    station: { attribute: false },
    zone: { attribute: false },
    answer: { state: true },
    wrong: { state: true },
  };
  static override styles = [
    shared,
    css`
      p { margin: 6px 0; }
      .ask { color: var(--soft); font-size: 15px; }
      table { max-width: 640px; margin: 8px 0; font-size: 17px; }
      th, td { padding: 2px 0; }
      thead th { font-size: 15px; vertical-align: bottom; }
      button { margin: 8px 0 0; }
    `,
  ];

  declare app: App;
  /** Id. */
  declare station: string;
  declare zone: string;
  declare answer: JudgingAnswer | null;
  declare wrong: string;
  private askedMs = Number.NEGATIVE_INFINITY;
  private askedOf = '';

  constructor() {
    super();
    this.answer = null;
    this.wrong = '';
    new Listening(this, () => [this.app.tick]);
  }

  protected override willUpdate(): void {
    const nowMs = this.app.clock.nowMs();
    const other = this.askedOf !== this.station;
    if (!other && (this.answer?.state !== 'running' || nowMs - this.askedMs < ASK_EVERY_MS)) return;
    if (other) this.answer = null;
    this.askedOf = this.station;
    this.askedMs = nowMs;
    void this.take(this.app.api.ask(JudgingAnswer, this.address()));
  }

  private address(): string {
    return `/api/stations/${encodeURIComponent(this.station)}/judging`;
  }

  private async take(asked: Promise<Answer<JudgingAnswer>>): Promise<void> {
    const station = this.station;
    const found = await asked;
    if (station !== this.station) return;
    if (found.ok) this.answer = found.value;
    this.wrong = found.ok ? '' : `${found.refusal.message} ${found.refusal.fix}`;
  }

  protected override render() {
    const { answer } = this;
    if (answer === null) return this.wrong === '' ? nothing : html`<p class="wrong">${this.wrong}</p>`;
    const formats = formatsFor(this.app.locale, 'C');
    const running = answer.state === 'running';
    return html`
      ${answer.judged === null ? nothing : this.found(answer.judged)}
      <p role="status">${running ? words.judging(asText(formats.percent(Math.floor(100 * answer.share)))) : nothing}</p>
      ${answer.state === 'failed' ? html`<p class="wrong">${words.JUDGE_FAILED}</p>` : nothing}
      ${this.wrong === '' ? nothing : html`<p class="wrong" role="alert">${this.wrong}</p>`}
      ${
        running
          ? nothing
          : html`<button type="button" @click=${() => this.begin()}>${answer.judged === null ? words.JUDGE : words.JUDGE_AGAIN}</button>
            <p class="ask">${words.JUDGE_WHY}</p>`
      }`;
  }

  private begin(): void {
    void this.take(this.app.api.ask(JudgingAnswer, this.address(), change('POST', {})));
  }

  private found(judged: NonNullable<JudgingAnswer['judged']>) {
    const formats = formatsFor(this.app.locale, 'C');
    const times = timesFor(this.app.locale, this.zone, this.app.live.value.display.clock);
    const rows = judgedRows(judged, formats);
    return html`${judgedLines(judged, formats, times).map(line => html`<p>${line}</p>`)}
      ${
        rows.length === 0
          ? nothing
          : html`<table><thead><tr>${words.COLUMNS.map(name => html`<th scope="col">${name}</th>`)}</tr></thead>
            <tbody>${rows.map(([name, ...cells]) => html`<tr><th scope="row">${name}</th>${cells.map(cell => html`<td>${cell}</td>`)}</tr>`)}</tbody></table>`
      }`;
  }
}

customElements.define('judge-me', JudgeMe);
