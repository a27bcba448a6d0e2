/** Hours of the week with a price of their own: days, from, to, price. Whole hours; of several for one hour the last holds. */
import { html, type TemplateResult } from 'lit';
import * as words from '../../words/setup.ts';
import { HOURS } from './draft.ts';
import { fieldRow } from './field-row.ts';
import { HOURS_FIELDS } from './fields.ts';
import { entries, type StationForm } from './station-form.ts';

export const hoursForm = (form: StationForm): TemplateResult => html`<h3>${words.HOURS}</h3>
  <p class="ask">${words.HOURS_WHY}</p>
  ${entries(
    form,
    HOURS,
    words.hoursTitle,
    words.ADD_HOURS,
    at => html`<div class="entry hours">${HOURS_FIELDS.map(field => fieldRow(form, at, field))}</div>`,
  )}`;
