/** Seven days in coarse steps, the sky of each set by hand. */
import { html, type TemplateResult } from 'lit';
import type { OutlastAnswer } from '#messages';
import { asText, type Formats, MISSING, type Times } from '../../format.ts';
import * as words from '../../words/outlast.ts';
import type { Sky } from './outlast-api.ts';

export const weekTable = (
  { days }: OutlastAnswer,
  skies: readonly Sky[],
  formats: Formats,
  times: Times,
  choose: (day: number, sky: Sky) => void,
): TemplateResult => html`<table class="week">
  <caption class="unseen">${words.WEEK}</caption>
  <thead><tr>${words.WEEK_COLUMNS.map(column => html`<th scope="col">${column}</th>`)}</tr></thead>
  <tbody>${days.map((day, i) => {
    const name = i === 0 ? words.today : times.weekday(day.date);
    return html`<tr><th scope="row">${name}</th>
      <td><select aria-label=${words.skyOf(name)} @change=${(event: Event) => choose(i, (event.target as HTMLSelectElement).value as Sky)}>
        ${Object.entries(words.SKIES).map(
          ([sky, label]) => html`<option value=${sky} .selected=${(skies[i] ?? 'open') === sky}>${label}</option>`,
        )}</select></td>
      <td>${day.sunWh === null ? MISSING : asText(formats.energy(Math.round(day.sunWh / 10) * 10))}</td>
      <td>${asText(formats.percent(day.endPct))}</td>
      <td>${words.inTwenty(day.chances)}</td></tr>`;
  })}</tbody>
</table>`;
