/**
 * Sun and shade at the named spots: one clock for all of them, what comes next at each, the best round for the rest of
 * the day, and under Why? what stands around a spot with the evidence for it. What the agent told stands; nothing is
 * reckoned here but words and places. Drawn anew with each answer, not with each reading.
 */
import { html, LitElement, nothing } from 'lit';
import type { AimAnswer, WireSpot } from '#messages';
import { type Formats, formatsFor, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { agentNow, may } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import { WINDS } from '../../words/aim.ts';
import * as words from '../../words/aim-spots.ts';
import { windOf } from './degrees.ts';
import './spot-change.ts';
import { layoutSkyline } from './skyline-layout.ts';
import { drawnSkyline, drawnSpots, spotsDrawingStyles } from './spots-drawing.ts';
import { layoutSpots } from './spots-layout.ts';
import { spotsStyles } from './spots-styles.ts';
import { comingAt, edgesText, planText, seenText, skylineRows, standsText, stripText } from './spots-telling.ts';

const LEAST_PX = 200;
const MOST_PX = 760;
const SKYLINE_HEIGHT_PX = 236;

interface Said {
  nowMs: number;
  formats: Formats;
  times: Times;
}

export class AimSpots extends LitElement {
  static override properties = { app: { attribute: false }, answer: { attribute: false }, widthPx: { state: true } };
  static override styles = [shared, spotsDrawingStyles, spotsStyles];

  declare app: App;
  declare answer: AimAnswer;
  declare widthPx: number;
  private readonly resized = new ResizeObserver(entries => {
    const width = Math.floor(entries.at(-1)?.contentRect.width ?? 0);
    if (width > 0) this.widthPx = Math.min(MOST_PX, Math.max(LEAST_PX, width));
  });

  constructor() {
    super();
    this.widthPx = 0;
  }

  override connectedCallback(): void {
    super.connectedCallback();
    this.resized.observe(this);
  }

  override disconnectedCallback(): void {
    super.disconnectedCallback();
    this.resized.disconnect();
  }

  protected override render() {
    const { spots, track } = this.answer;
    if (spots.length === 0) return nothing;
    const { live, clock, locale, zone } = this.app;
    const said: Said = {
      nowMs: agentNow(live.value, clock.nowMs()) ?? clock.nowMs(),
      formats: formatsFor(locale, 'C'),
      times: timesFor(locale, selectedStation(this.app)?.station.zone ?? zone, live.value.display.clock),
    };
    return html`<section>
      <h2>${words.SUN_AND_SHADE}</h2>
      ${this.plan(said)}
      ${track === null ? this.withoutTrack() : this.clock(track, said)}
      <ul class="spots">${spots.map(spot => this.spot(spot, said))}</ul>
    </section>`;
  }

  private withoutTrack() {
    return this.answer.pointing === null
      ? html`<p>${words.NO_PLACE} <a class="go" href="/setup#place">${words.TELL_PLACE}</a></p>`
      : html`<p>${words.NO_SUN_TODAY}</p>`;
  }

  private plan({ formats, times }: Said) {
    const told = planText(this.answer, formats, times);
    return told === null
      ? nothing
      : html`<p class="lead"><b>${told[0]}</b> ${told[1]}</p>
          <details><summary aria-label="${words.WHY} ${words.PLAN}">${words.WHY}</summary><p class="small">${words.PLAN_WHY}</p></details>`;
  }

  private clock(track: NonNullable<AimAnswer['track']>, { nowMs, times }: Said) {
    const { spots } = this.answer;
    const says = [words.drawing(times.time(nowMs)), ...spots.map(spot => stripText(spot, times))].join(' ');
    const layout =
      this.widthPx === 0
        ? null
        : layoutSpots(
            {
              rows: spots.map(({ name, strip, standing }) => ({
                name,
                standing,
                spans:
                  strip?.map(({ fromAt, toAt, is }) => ({ fromMs: Date.parse(fromAt), toMs: Date.parse(toAt), is })) ??
                  null,
              })),
              sunriseMs: Date.parse(track[0]!.at),
              sunsetMs: Date.parse(track.at(-1)!.at),
              nowMs,
              zone: times.zone,
              labelOf: at => times.hour(at),
            },
            this.widthPx,
          );
    const unknown = spots.every(({ strip }) => strip === null);
    return html`<p class="small">${unknown ? words.ALL_UNKNOWN : words.AS_FAR_AS_SEEN}</p>
      <figure>${layout === null ? nothing : drawnSpots(layout, says)}
        <figcaption><ul class="legend" aria-label=${words.LEGEND}>${(['sun', 'shade', 'unknown'] as const).map(
          is => html`<li><span class="swatch ${is}" aria-hidden="true"></span>${words.IS[is]}</li>`,
        )}</ul></figcaption></figure>`;
  }

  private spot(spot: WireSpot, said: Said) {
    const { nowMs, formats, times } = said;
    return html`<li>
      <h3>${spot.name}</h3>
      <p><b>${comingAt(spot, nowMs, formats, times)}</b></p>
      <p class="small">${standsText(spot, nowMs, times)}</p>
      ${spot.note === '' ? nothing : html`<p class="note">${spot.note}</p>`}
      <details><summary aria-label=${words.whyOf(spot.name)}>${words.WHY}</summary>${this.why(spot, said)}</details>
      ${
        may(this.app.live.value, 'mark')
          ? html`<details class="change"><summary aria-label=${words.changeOf(spot.name)}>${words.CHANGE}</summary>
              <spot-change .app=${this.app} .station=${this.answer.station} .spot=${spot} @changed=${(event: Event) => this.changed(event)}></spot-change></details>`
          : nothing
      }
    </li>`;
  }

  /** Folded up again, and asked for anew by the view. */
  private changed(event: Event): void {
    event.stopPropagation();
    (event.target as HTMLElement).closest('details')?.removeAttribute('open');
    this.dispatchEvent(new CustomEvent('changed'));
  }

  private why(spot: WireSpot, { nowMs, formats }: Said) {
    const { skyline } = spot;
    const { track } = this.answer;
    return html`<p>${seenText(spot, formats)} ${words.HOW_LEARNED} ${words.FADES}</p>
      ${
        skyline === null || track === null
          ? html`<p>${words.NO_SKYLINE}</p>`
          : html`<figure>${
              this.widthPx === 0
                ? nothing
                : drawnSkyline(
                    layoutSkyline(
                      skyline,
                      track,
                      nowMs,
                      { width: this.widthPx, height: SKYLINE_HEIGHT_PX },
                      deg => WINDS[windOf(deg)]!,
                    ),
                    `${words.SKYLINE}, ${spot.name}. ${edgesText(skyline)}`,
                  )
            }<figcaption class="small">${words.SKYLINE_MEANS}</figcaption></figure>
            <p>${edgesText(skyline)}</p>
            <details><summary>${words.SKYLINE_TABLE}</summary><table><caption class="unseen">${words.SKYLINE}, ${spot.name}</caption>
              <thead><tr>${words.SKYLINE_COLUMNS.map(name => html`<th scope="col">${name}</th>`)}</tr></thead>
              <tbody>${skylineRows(skyline, formats).map(
                ([toward, ...cells]) =>
                  html`<tr><th scope="row">${toward}</th>${cells.map(cell => html`<td>${cell}</td>`)}</tr>`,
              )}</tbody></table></details>`
      }`;
  }
}

customElements.define('aim-spots', AimSpots);
