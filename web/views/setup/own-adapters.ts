/** Setup's part for adapters that the owner wrote: what each is and needs, and the one tap that lets it run. */
import { css, html, LitElement, nothing } from 'lit';
import { DoneAnswer, type OwnAdapter, OwnAdaptersAnswer } from '#messages';
import { timesFor } from '../../format.ts';
import { change, type Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/own-adapters.ts';

/** A file that was saved is shown within this time, ms. */
const ASK_EVERY_MS = 4_000;

export class OwnAdapters extends LitElement {
  static override properties = { app: { attribute: false }, answer: { state: true }, refusal: { state: true } };
  static override styles = [
    shared,
    css`
      p { margin: 6px 0; }
      h3 { margin: 20px 0 4px; font-size: inherit; }
      .ask { color: var(--soft); font-size: 15px; }
      dl { display: grid; grid-template-columns: 140px 1fr; gap: 4px 16px; margin: 8px 0; font-size: 15px; }
      dt { color: var(--soft); }
      dd { margin: 0; overflow-wrap: anywhere; }
      @media (max-width: 719px) { dl { grid-template-columns: 1fr; } dd { margin-bottom: 6px; } }
    `,
  ];

  declare app: App;
  declare answer: OwnAdaptersAnswer | null;
  declare refusal: Refusal | null;
  private askedMs = Number.NEGATIVE_INFINITY;

  constructor() {
    super();
    this.answer = null;
    this.refusal = null;
    new Listening(this, () => [this.app.tick]);
  }

  protected override willUpdate(): void {
    const nowMs = this.app.clock.nowMs();
    if (nowMs - this.askedMs < ASK_EVERY_MS) return;
    this.askedMs = nowMs;
    void this.load();
  }

  private async load(): Promise<void> {
    const answer = await this.app.api.ask(OwnAdaptersAnswer, '/api/own-adapters');
    if (answer.ok) this.answer = answer.value;
  }

  private async approve({ file, sha256 }: OwnAdapter): Promise<void> {
    const answer = await this.app.api.ask(DoneAnswer, '/api/own-adapters/approve', change('POST', { file, sha256 }));
    this.refusal = answer.ok ? null : answer.refusal;
    await this.load();
  }

  protected override render() {
    if (this.answer === null) return nothing;
    const { folder, containment, adapters } = this.answer;
    return html`<p>${words.where(folder)}</p>
      <p class="ask">${words.contained(containment.level, containment.networkOpen, containment.hindrance)}</p>
      ${this.refusal === null ? nothing : html`<p class="wrong" role="alert">${this.refusal.message} ${this.refusal.fix}</p>`}
      ${adapters.length === 0 ? html`<p>${words.NONE}</p>` : adapters.map(own => this.one(own))}`;
  }

  private one(own: OwnAdapter) {
    const asks = own.state === 'asks' || own.state === 'changed';
    const title = own.title === null ? own.file : `${words.titled(own.title, own.version ?? '')} (${own.file})`;
    return html`<h3>${title}</h3>
      <p class=${own.state === 'approved' ? '' : 'wrong'}>${this.stateOf(own)}</p>
      ${own.title === null ? nothing : needs(own)}
      ${
        asks
          ? html`<p><button type="button" @click=${() => void this.approve(own)}>${words.approve(own.file)}</button></p>
            <p class="ask">${words.APPROVE_WHY}</p>`
          : nothing
      }`;
  }

  private stateOf({ state, says, id, approved }: OwnAdapter): string {
    const day = approved === null ? '' : this.dayOf(approved.approvedAt);
    if (state === 'broken') return words.broken(says);
    if (state === 'approved') return words.approved(day, id ?? '');
    return state === 'changed' ? words.changed(approved?.version ?? '', day) : words.ASKS;
  }

  private dayOf(instant: string): string {
    const zone = this.app.live.value.stations[0]?.station.zone ?? 'UTC';
    const times = timesFor(this.app.locale, zone, this.app.live.value.display.clock);
    return times.dayMonth(
      times.date(Date.parse(instant)),
      times.date(agentNow(this.app.live.value, this.app.clock.nowMs()) ?? Date.parse(instant)),
    );
  }
}

function needs({ sha256, transports, gives, requests, characteristics }: OwnAdapter) {
  const sends = requests.map(({ name, bytes, to }) => words.request(name, bytes, to));
  const uses = characteristics.map(({ name, uuid, service, use }) => words.characteristic(name, uuid, service, use));
  const rows: readonly (readonly [string, readonly string[]])[] = [
    [words.HASH, [sha256]],
    [words.READS, [transports.join(', ')]],
    [words.GIVES, [gives.join(', ')]],
    [words.SENDS, sends.length === 0 ? [words.SENDS_NOTHING] : sends],
    ...(uses.length === 0 ? [] : ([[words.USES, uses]] as const)),
  ];
  return html`<dl>${rows.map(([name, lines]) => html`<dt>${name}</dt><dd>${lines.map(line => html`<div>${line}</div>`)}</dd>`)}</dl>`;
}

customElements.define('own-adapters', OwnAdapters);
