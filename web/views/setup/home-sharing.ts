/** Setup's part for the home network: the switch, the code for a phone, who waits for a word, and who may come in. */
import { html, LitElement, nothing } from 'lit';
import type * as v from 'valibot';
import { DoneAnswer, InvitationAnswer, SCOPES, type Scope, SharingAnswer } from '#messages';
import { timesFor } from '../../format.ts';
import { change, type Refusal } from '../../state/api.ts';
import type { App } from '../../state/app.ts';
import { Listening } from '../../state/listening.ts';
import { agentNow } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/sharing.ts';
import { qrDrawing } from './qr-drawing.ts';
import { sharingStyles } from './sharing-styles.ts';

/** A phone that asks is shown within this time while a code stands, else seldom, ms. */
const ASK_OFTEN_MS = 1_000;
const ASK_SELDOM_MS = 4_000;

type Waiting = SharingAnswer['waiting'][number];
type Session = SharingAnswer['sessions'][number];

export class HomeSharing extends LitElement {
  static override properties = {
    app: { attribute: false },
    told: { state: true },
    invitation: { state: true },
    refusal: { state: true },
    chosen: { state: true },
    network: { state: true },
  };
  static override styles = [shared, sharingStyles];

  declare app: App;
  /** Null until told, or where it is not told. */
  declare told: SharingAnswer | null;
  declare invitation: InvitationAnswer | null;
  declare refusal: Refusal | null;
  /** How far each who waits is to be let in; looking where nothing was chosen. */
  declare chosen: ReadonlyMap<string, Scope>;
  declare network: string | null;
  private askedMs = Number.NEGATIVE_INFINITY;

  constructor() {
    super();
    this.told = null;
    this.invitation = null;
    this.refusal = null;
    this.chosen = new Map();
    this.network = null;
    new Listening(this, () => [this.app.tick, this.app.light]);
  }

  override connectedCallback(): void {
    super.connectedCallback();
    addEventListener('focus', this.lookAgain);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    removeEventListener('focus', this.lookAgain);
  }

  private readonly lookAgain = (): void => {
    if (this.told === null) void this.load();
  };

  protected override willUpdate(): void {
    const nowMs = this.app.clock.nowMs();
    // Who may not know is not told by asking again; it may be otherwise when the reader comes back to this page.
    if (this.told === null && this.refusal !== null) return;
    if (nowMs - this.askedMs < (this.invitation === null ? ASK_SELDOM_MS : ASK_OFTEN_MS)) return;
    this.askedMs = nowMs;
    void this.load();
  }

  private async load(): Promise<void> {
    const answer = await this.app.api.ask(SharingAnswer, '/api/sharing');
    const wasNull = this.told === null;
    this.told = answer.ok ? answer.value : null;
    if (!answer.ok) {
      this.refusal = answer.refusal;
      return;
    }
    if (answer.value.invitedUntil === null) this.invitation = null;
    if (wasNull) this.refusal = null;
  }

  /** Asks for a change, then how things stand. */
  private async tell<S extends v.GenericSchema>(
    schema: S,
    path: string,
    body: object,
  ): Promise<v.InferOutput<S> | null> {
    const answer = await this.app.api.ask(schema, `/api/sharing${path}`, change('POST', body));
    this.refusal = answer.ok ? null : answer.refusal;
    if (answer.ok) await this.load();
    return answer.ok ? answer.value : null;
  }

  private async invite(): Promise<void> {
    this.invitation = await this.tell(InvitationAnswer, '/invitation', {});
    await this.updateComplete;
    this.renderRoot.querySelector<HTMLElement>('.invitation')?.focus();
  }

  private async decide(who: Waiting, scope: Scope | null): Promise<void> {
    await this.tell(DoneAnswer, '/decision', { request: who.id, scope });
  }

  protected override render() {
    const { told, refusal } = this;
    const wrong =
      refusal === null ? nothing : html`<p class="wrong" role="alert">${refusal.message} ${refusal.fix}</p>`;
    if (told === null) return refusal === null ? html`<p>${words.LOADING}</p>` : wrong;
    return html`${this.switch(told)} ${wrong}
      ${told.on ? html`<p class="ask">${words.PLAIN_HTTP}</p>` : nothing}
      ${told.locked ? this.locked(told) : nothing}
      ${told.on && told.addresses.length > 0 && !told.locked ? this.inviting(told) : nothing}
      <div role="status">${told.waiting.map(who => this.waiting(who))}</div>
      ${this.sessions(told.sessions)}`;
  }

  private switch(told: SharingAnswer) {
    const { on, fixed, networks, addresses, trouble, interface: name } = told;
    const state = !on ? words.OFF : addresses.length > 0 ? words.on(addresses, name) : words.nowhere(trouble);
    if (fixed) return html`<p>${state}</p><p class="ask">${words.FIXED}</p>`;
    if (on)
      return html`<p>${state}</p>
        <p><button type="button" @click=${() => void this.tell(SharingAnswer, '', { on: false })}>${words.STOP}</button></p>`;
    if (networks.length === 0) return html`<p>${state} ${words.NO_NETWORK}</p>`;
    const chosen = this.network ?? networks[0]!.name;
    return html`<p>${state}</p>
      <p class="ask">${words.WHY} ${words.PLAIN_HTTP}</p>
      <label class="network">${words.WHICH}
        <select @change=${(event: Event) => {
          this.network = (event.target as HTMLSelectElement).value;
        }}>${networks.map(n => html`<option value=${n.name} ?selected=${n.name === chosen}>${words.network(n.name, n.address)}</option>`)}</select></label>
      <p><button type="button" @click=${() => void this.tell(SharingAnswer, '', { on: true, interface: chosen })}>${words.SHARE}</button></p>`;
  }

  private locked({ failures }: SharingAnswer) {
    return html`<p class="wrong">${words.locked(String(failures))}</p>
      <p><button type="button" @click=${() => void this.tell(DoneAnswer, '/unlock', {})}>${words.UNLOCK}</button></p>`;
  }

  private inviting({ addresses }: SharingAnswer) {
    const { invitation } = this;
    const button = html`<p><button type="button" class=${invitation === null ? 'main' : ''} @click=${() => void this.invite()}>
      ${invitation === null ? words.LET_IN : words.LET_NEXT_IN}</button></p>`;
    if (invitation === null) return button;
    const night = this.app.light.value === 'night';
    return html`<div class="invitation" tabindex="-1">
        <p>${words.SCAN}</p>
        ${qrDrawing(invitation.qr, words.QR, night)}
        <p>${words.orType(addresses[0]!)}</p>
        <p class="code">${invitation.code.slice(0, 4)} ${invitation.code.slice(4)}</p>
        <p class="ask">${words.until(this.times().time(Date.parse(invitation.until)))}</p>
      </div>${button}`;
  }

  private waiting(who: Waiting) {
    const chosen = this.chosen.get(who.id) ?? 'view';
    const choose = (scope: Scope) => {
      this.chosen = new Map(this.chosen).set(who.id, scope);
    };
    return html`<section class="waiting" aria-label=${words.asks(who.name, who.address)}>
      <p>${words.asks(who.name, who.address)} ${words.COMPARE}</p>
      <p class="code">${who.words}</p>
      <fieldset><legend>${words.MAY}</legend>${SCOPES.map(
        scope => html`<label><input type="radio" name="may-${who.id}" .checked=${scope === chosen} @change=${() => choose(scope)}>
          <span>${words.SCOPES[scope]}<span class="ask">${words.scopeWhy[scope]}</span></span></label>`,
      )}</fieldset>
      <p class="row"><button type="button" class="main" @click=${() => void this.decide(who, chosen)}>${words.letIn(who.name)}</button>
        <button type="button" @click=${() => void this.decide(who, null)}>${words.refuse(who.name)}</button></p>
    </section>`;
  }

  private sessions(sessions: readonly Session[]) {
    const rows = sessions.map(
      one => html`<tr><th scope="row">${one.name}</th><td>${this.mayOf(one)}</td><td>${this.seenOf(one)}</td>
        <td>${one.here ? words.HERE : one.address || words.SCRIPT}</td>
        <td><button type="button" aria-label=${words.end(one.name)}
          @click=${() => void this.tell(DoneAnswer, '/revoke', { session: one.id })}>${words.END}</button></td></tr>`,
    );
    const columns = words.COLUMNS.map(name => html`<th scope="col">${name}</th>`);
    return html`<h3>${words.WHO}</h3>
      ${rows.length === 0 ? html`<p>${words.NOBODY}</p>` : html`<table><thead><tr>${columns}<td></td></tr></thead><tbody>${rows}</tbody></table>`}
      <p class="ask">${words.TOKENS}</p>`;
  }

  private mayOf({ scope, changeUntil }: Session): string {
    if (changeUntil === null) return words.SCOPES[scope];
    return Date.parse(changeUntil) < this.nowAt() ? words.LOOKS_NOW : words.changesUntil(this.timeOf(changeUntil));
  }

  private seenOf({ kind, address, lastSeenAt }: Session): string {
    return kind === 'script' && address === '' ? words.NOT_USED : this.timeOf(lastSeenAt);
  }

  /** By the agent's clock, where it told it. */
  private nowAt(): number {
    return agentNow(this.app.live.value, this.app.clock.nowMs()) ?? Date.parse(this.app.clock.wallIso());
  }

  private times() {
    return timesFor(this.app.locale, this.app.zone, this.app.live.value.display.clock);
  }

  /** The clock of today, the date of other days. */
  private timeOf(instant: string): string {
    const times = this.times();
    const [date, today] = [times.date(Date.parse(instant)), times.date(this.nowAt())];
    return date === today ? times.time(Date.parse(instant)) : times.dayMonth(date, today);
  }
}

customElements.define('home-sharing', HomeSharing);
