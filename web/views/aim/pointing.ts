/**
 * Where to point and why so few watts: set by hand from degrees, centimetres and a shadow. What the agent told stands;
 * nothing is reckoned here but words.
 */
import { html, LitElement, nothing, type TemplateResult } from 'lit';
import type { AimAnswer, WirePointing } from '#messages';
import { asText, type Formats, formatsFor, GAP, type Times, timesFor } from '../../format.ts';
import { selectedStation } from '../../masthead.ts';
import type { App } from '../../state/app.ts';
import { agentNow } from '../../state/live.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words/aim-pointing.ts';
import { drawnAbove, drawnSide, pointingDrawingStyles } from './pointing-drawing.ts';
import { fromAbove, fromSide } from './pointing-layout.ts';
import { pointingStyles } from './pointing-styles.ts';
import {
  bandWatts,
  dayPlane,
  degrees,
  directionOf,
  gatheredRows,
  leadOf,
  type Plane,
  planeCells,
  reaimed,
  rise,
  tilted,
  turnFrom,
  wattHours,
} from './pointing-telling.ts';

type RestOfDay = NonNullable<WirePointing['restOfDay']>;
type Turning = RestOfDay['turnings'][number];

export class AimPointing extends LitElement {
  static override properties = { app: { attribute: false }, answer: { attribute: false } };
  static override styles = [shared, pointingDrawingStyles, pointingStyles];

  declare app: App;
  declare answer: AimAnswer;

  protected override render() {
    const { pointing } = this.answer;
    if (pointing === null) {
      return html`<section><h2>${words.POINT}</h2><p>${words.NO_PLACE} <a class="go" href="/setup#place">${words.TELL_PLACE}</a></p></section>`;
    }
    const { live } = this.app;
    const formats = formatsFor(this.app.locale, 'C');
    const zone = selectedStation(this.app)?.station.zone ?? this.app.zone;
    const times = timesFor(this.app.locale, zone, live.value.display.clock);
    const nowMs = agentNow(live.value, this.app.clock.nowMs()) ?? this.app.clock.nowMs();
    const [set, why] = leadOf(pointing, nowMs, formats, times);
    return html`${few(pointing, formats)}
      <section><h2>${words.POINT}</h2>
        <p class="lead"><b>${set}</b> ${why}</p>
        ${pointing.restOfDay === null ? nothing : restOfDay(pointing, pointing.restOfDay, formats, times)}
        ${peg(pointing, formats)}
      </section>`;
  }
}

/** What comes in less than expected, and why; what could be expected where enough comes in. */
function few({ expected, causes }: WirePointing, formats: Formats): TemplateResult | typeof nothing {
  const band =
    expected === null || expected.highW < 1
      ? nothing
      : html`<p>${words.expectedNow(bandWatts(expected.lowW, formats), bandWatts(expected.highW, formats))}</p>
          <details><summary>${words.ABOUT_BAND}</summary><ul class="small">${expected.spreads.map(
            ({ of, pct }) => html`<li>${words.spread(words.SPREADS[of], `±${asText(formats.percent(pct))}`)}</li>`,
          )}</ul></details>`;
  if (causes.length === 0) return band === nothing ? nothing : html`<section>${band}</section>`;
  return html`<section><h2>${words.FEW}</h2>
    <ol class="causes">${causes.map(({ cause, likely, explainsW }) => {
      const [what, check] = words.CAUSES[cause];
      const explains = explainsW === null ? '' : words.explains(bandWatts(explainsW, formats));
      const beside = [likely ? words.LIKELY : '', explains].filter(part => part !== '').join(' · ');
      return html`<li><b>${what}</b>${beside === '' ? nothing : ` · ${beside}`}<span class="check">${check}</span></li>`;
    })}</ol>
    ${causes.length > 1 && causes.every(({ likely }) => !likely) ? html`<p>${words.ONLY_POSSIBLE}</p>` : nothing}
    ${band}</section>`;
}

function restOfDay(pointing: WirePointing, left: RestOfDay, formats: Formats, times: Times): TemplateResult {
  const [first, ...others] = left.turnings;
  const reaim = pointing.bestNow === null ? null : reaimed(left, formats);
  const row = (name: string, plane: Plane) =>
    html`<tr><th scope="row">${name}</th>${planeCells(plane, formats).map(cell => html`<td>${cell}</td>`)}</tr>`;
  const turned = ({ at, until, to, gainWh }: Turning) => {
    const moment = times.time(Date.parse(at));
    return html`<tr><th class="once" colspan="4" scope="rowgroup">${words.turnOnce(moment, wattHours(gainWh, formats))}</th></tr>
      ${row(words.until(moment), until)}${row(words.from(moment), to)}`;
  };
  return html`${reaim === null ? nothing : html`<p>${reaim}</p>`}
    <table class="planes"><caption class="unseen">${words.PLANES}</caption>${columns()}
      <thead><tr>${words.COLUMNS.map(name => html`<th scope="col">${name === '' ? html`<span class="unseen">${words.PLANES}</span>` : name}</th>`)}</tr></thead>
      <tbody>${row(words.LEFT_ALONE, dayPlane(left))}
        ${pointing.bestNow === null ? nothing : row(words.MOST_NOW, pointing.bestNow)}</tbody>
      ${first === undefined ? nothing : html`<tbody>${turned(first)}</tbody>`}
    </table>
    ${first === undefined ? html`<p>${words.NO_TURNING}</p>` : nothing}
    ${
      others.length === 0
        ? nothing
        : html`<details><summary>${words.OTHER_HOURS}</summary><table class="planes"><caption class="unseen">${words.OTHER_HOURS}</caption>${columns()}
            ${others.map(one => html`<tbody>${turned(one)}</tbody>`)}</table></details>`
    }
    <h3>${pointing.panelsW === null ? words.GATHERED_EACH : words.GATHERED}</h3>
    <table class="gathered"><tbody>${gatheredRows(left, formats).map(
      ({ name, energy, note }) =>
        html`<tr><th scope="row">${name}${note === '' ? nothing : html`<span class="note">${note}</span>`}</th><td>${energy}</td></tr>`,
    )}</tbody></table>
    <p>${words.GREY_SKY}</p>
    <p class="small">${words.TRUE_NORTH}</p>`;
}

/** Tables one under the other keep their columns. */
const columns = () => html`<colgroup><col><col><col><col></colgroup>`;

/** The shadow of a stick in place of a compass. */
function peg({ shadow, restOfDay: left, bestNow, sun }: WirePointing, formats: Formats) {
  if (bestNow === null || left === null) return nothing;
  const day = dayPlane(left);
  const plane = day.tiltDeg === 0 ? bestNow : day;
  const turn = turnFrom(sun.azimuthDeg, plane.azimuthDeg);
  const toward = degrees(plane.azimuthDeg);
  const steps =
    shadow === null
      ? null
      : [
          words.pegStand,
          words.pegShadow(
            `${formats.number(shadow.lengthM, 2)}${GAP}m`,
            degrees(shadow.towardDeg),
            directionOf(shadow.towardDeg),
          ),
          turn === null ? words.PEG_FACE_SUN : words.pegFace(turn, toward),
          words.PEG_SQUARE,
        ];
  return html`<details><summary>${words.PEG}</summary>${
    steps === null || shadow === null
      ? html`<p>${words.PEG_LOW}</p>`
      : html`<ol>${steps.map(step => html`<li>${step}</li>`)}</ol>
          <div class="drawings">${drawings(shadow.towardDeg, plane, formats)}</div>`
  }</details>`;
}

function drawings(towardDeg: number, plane: Plane, formats: Formats) {
  const up = rise(plane, formats);
  const names = { north: words.NORTH, sun: words.SUN, shadow: words.SHADOW };
  const above = drawnAbove(
    fromAbove(towardDeg, plane.azimuthDeg, names),
    words.pegDrawing(degrees(towardDeg), degrees(plane.azimuthDeg)),
  );
  const side = drawnSide(fromSide(plane.tiltDeg, up, words.METRE), words.tiltDrawing(tilted(plane.tiltDeg), up));
  return html`<figure>${above}<figcaption>${words.FROM_ABOVE}</figcaption></figure>
    <figure>${side}<figcaption>${words.FROM_SIDE}</figcaption></figure>`;
}

customElements.define('aim-pointing', AimPointing);
