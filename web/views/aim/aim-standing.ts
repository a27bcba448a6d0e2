/**
 * Where the panels stand now, among the named spots, and how: tilt and turn, as they are set by hand. In the demo the
 * simulated panels can be carried. What the agent refuses is told beside what was tapped, and what was typed stays.
 */
import { css, html, LitElement, nothing } from 'lit';
import type { AimAnswer, SpotChange, WireSpot } from '#messages';
import { formatsFor } from '../../format.ts';
import type { App } from '../../state/app.ts';
import { may } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/aim.ts';
import { aimApi, refusedText } from './aim-api.ts';
import { degreesOf, riseCm, windOf } from './degrees.ts';

type Place = 'choice' | 'plane' | 'add' | 'carry';

export class AimStanding extends LitElement {
  static override properties = {
    app: { attribute: false },
    answer: { attribute: false },
    wrong: { state: true },
  };
  static override styles = [
    shared,
    css`
      .choices { display: flex; flex-wrap: wrap; gap: 8px; margin: 8px 0; border: 0; padding: 0; }
      .choices button { min-height: 48px; }
      .choices button[aria-pressed="true"] { background: var(--port); color: var(--on-port); outline: 2px solid var(--ink); outline-offset: -4px; font-weight: var(--strong-weight); }
      .pair { display: grid; grid-template-columns: 1fr 1fr; gap: 8px 16px; max-width: 460px; align-items: end; }
      label { display: block; margin: 8px 0 4px; }
      input { min-height: 48px; }
      .pair p, .small { margin: 4px 0 0; color: var(--soft); font-size: 16px; align-self: start; }
      .add { display: flex; gap: 12px; max-width: 460px; }
      .add button { flex: none; min-height: 48px; }
    `,
  ];

  declare app: App;
  declare answer: AimAnswer;
  declare wrong: { at: Place; text: string } | null;

  constructor() {
    super();
    this.wrong = null;
  }

  protected override render() {
    const { spots, carries } = this.answer;
    const allowed = may(this.app.live.value, 'mark');
    const standing = spots.find(spot => spot.standing) ?? null;
    return html`<h2>${words.STANDING}</h2>
      ${spots.length === 0 ? html`<p class="small">${words.NO_SPOTS}</p>` : this.choice(spots, standing, allowed)}
      ${this.told('choice')}
      ${standing === null ? nothing : this.plane(standing, allowed)}
      ${allowed ? this.adding() : nothing}
      ${carries && allowed ? this.carrying(spots) : nothing}`;
  }

  private choice(spots: readonly WireSpot[], standing: WireSpot | null, allowed: boolean) {
    const button = (spot: WireSpot | null) =>
      html`<button type="button" aria-pressed=${spot?.id === standing?.id ? 'true' : 'false'} ?disabled=${!allowed}
        @click=${() => void this.change({ do: 'stand', spot: spot?.id ?? null }, 'choice')}>${spot?.name ?? words.ELSEWHERE}</button>`;
    return html`<div class="choices" role="group" aria-label=${words.STANDING}>${spots.map(button)}${button(null)}</div>
      ${standing === null ? html`<p class="small">${words.ELSEWHERE_WHY}</p>` : nothing}`;
  }

  private plane(spot: WireSpot, allowed: boolean) {
    const { number } = formatsFor(this.app.locale, 'C');
    const text = (value: number | null) => (value === null ? '' : String(Math.round(value * 10) / 10));
    const field = (
      id: string,
      label: string,
      value: number | null,
      take: (deg: number | null) => void,
      wrong: string,
    ) =>
      html`<div><label for=${id}>${label}</label><input id=${id} inputmode="decimal" autocomplete="off" enterkeyhint="done"
        ?disabled=${!allowed} .value=${text(value)} @change=${(event: Event) => this.typed(event, id === 'tilt' ? 90 : 360, take, wrong)}></div>`;
    const change = (part: { tiltDeg: number | null } | { azimuthDeg: number | null }) =>
      void this.change({ do: 'change', spot: spot.id, ...part }, 'plane');
    return html`<div class="pair">
        ${field('tilt', words.TILT, spot.tiltDeg, tiltDeg => change({ tiltDeg }), words.TILT_WRONG)}
        ${field('turn', words.TURN, spot.azimuthDeg, azimuthDeg => change({ azimuthDeg }), words.TURN_WRONG)}
        <p>${spot.tiltDeg === null ? nothing : words.rise(number(riseCm(spot.tiltDeg), 0))}</p>
        <p>${spot.azimuthDeg === null ? nothing : words.WINDS[windOf(spot.azimuthDeg)]}</p>
      </div>${this.told('plane')}`;
  }

  private adding() {
    return html`<form @submit=${(event: Event) => void this.add(event)}><label for="new">${words.ADD_SPOT}</label>
      <div class="add"><input id="new" autocomplete="off" enterkeyhint="done" maxlength="40" aria-label=${words.SPOT_NAME}><button type="submit">${words.ADD}</button></div></form>
      ${this.told('add')}`;
  }

  private carrying(spots: readonly WireSpot[]) {
    return html`<h2>${words.CARRY}</h2><div class="choices" role="group" aria-label=${words.CARRY}>${spots.map(
      spot =>
        html`<button type="button" @click=${() => void this.change({ do: 'carry', spot: spot.id }, 'carry')}>${spot.name}</button>`,
    )}</div>${this.told('carry')}`;
  }

  private told(at: Place) {
    return this.wrong?.at === at ? html`<p class="wrong" role="alert">${this.wrong.text}</p>` : nothing;
  }

  private typed(event: Event, most: number, take: (deg: number | null) => void, wrong: string): void {
    const deg = degreesOf((event.target as HTMLInputElement).value, most);
    this.wrong = deg === undefined ? { at: 'plane', text: wrong } : null;
    if (deg !== undefined) take(deg);
  }

  private async add(event: Event): Promise<void> {
    event.preventDefault();
    const field = this.renderRoot.querySelector('#new') as HTMLInputElement;
    const name = field.value.trim();
    if (name === '') {
      this.wrong = { at: 'add', text: words.NAME_WRONG };
      return;
    }
    if (await this.change({ do: 'add', name }, 'add')) field.value = '';
  }

  private async change(what: SpotChange, at: Place): Promise<boolean> {
    const answer = await aimApi(this.app.api, this.answer.station).changeSpot(what);
    this.wrong = answer.ok ? null : { at, text: refusedText(answer.refusal) };
    if (answer.ok) this.dispatchEvent(new CustomEvent('changed', { bubbles: true, composed: true }));
    return answer.ok;
  }
}

customElements.define('aim-standing', AimStanding);
