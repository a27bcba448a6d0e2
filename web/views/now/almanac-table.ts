/** Three rows, three columns: coming in, going out, left × now, last hour, today; and the drawing in numbers. */
import { css, html, LitElement, nothing } from 'lit';
import type { Figure } from '../../format.ts';
import { shared } from '../../styles/shared.ts';
import * as words from '../../words.ts';
import { almanacRows } from './almanac-rows.ts';
import type { NowDrawing } from './drawing.ts';
import type { Situation } from './situation.ts';

export class AlmanacTable extends LitElement {
  static override properties = { situation: { attribute: false }, drawing: { attribute: false } };

  static override styles = [
    shared,
    css`
      :host { margin-top: 6px; border-top: var(--hair-width) solid var(--hair); }
      .figures { table-layout: fixed; }
      .figures th, .figures td { padding: 0; }
      .figures thead th { padding-top: 4px; font-size: 15px; }
      .figures tbody th { font-size: 17px; }
      .figures tr { height: 37px; }
      .figures thead tr { height: 26px; }
      .figures col:nth-child(1) { width: 22%; }
      .figures col:nth-child(2) { width: 17%; }
      .figures col:nth-child(3) { width: 22.4%; }
      td { font-size: 22px; white-space: nowrap; }
      td:nth-child(2) { font-weight: var(--strong-weight); }
      small { margin-left: 6px; color: var(--soft); font-size: 15px; font-weight: var(--text-weight); }
      .partly { margin: 2px 0 0; color: var(--soft); font-size: 15px; text-align: right; }
      details { margin-top: 16px; color: var(--soft); font-size: 15px; }
      details table { max-width: 640px; margin-top: 8px; }
      details td, details th { padding: 3px 0; font-size: 15px; font-weight: var(--text-weight); }
      summary { display: inline-block; min-height: 24px; text-decoration: underline; text-underline-offset: 3px; }
      @media (max-width: 719px) {
        .figures tr { height: 32px; }
        .figures tbody th { padding-left: 8px; font-size: 15px; }
        .figures thead th { font-size: 13px; }
        .figures col:nth-child(2) { width: 19%; }
        .figures col:nth-child(3) { width: 20%; }
        td { font-size: 17px; }
        small { margin-left: 3px; font-size: 15px; }
      }
    `,
  ];

  declare situation: Situation;
  declare drawing: NowDrawing | null;

  protected override render() {
    const coverage = this.situation.live?.tally?.today.coveragePct ?? 100;
    return html`<table class="figures">
        <caption class="unseen">${words.FIGURES}</caption>
        <colgroup><col><col><col><col></colgroup>
        <thead><tr><th scope="col"><span class="unseen">${words.QUANTITY}</span></th>${Object.values(words.COLUMNS).map(c => html`<th scope="col">${c}</th>`)}</tr></thead>
        <tbody>${almanacRows(this.situation).map(
          row => html`<tr><th scope="row">${row.name}</th>${row.cells.map(figureCell)}</tr>`,
        )}</tbody>
      </table>
      ${coverage < 99 ? html`<p class="partly">${words.partlyRecorded(`${this.situation.formats.number(Math.floor(coverage), 0)} %`)}</p>` : nothing}
      ${this.drawing === null ? nothing : this.numbers(this.drawing)}`;
  }

  private numbers(drawing: NowDrawing) {
    return html`<details><summary>${words.NUMBERS_OF_DRAWING}</summary>
      <table><caption class="unseen">${words.NUMBERS_OF_DRAWING}</caption>
        <thead><tr>${words.NUMBER_COLUMNS.map(name => html`<th scope="col">${name}</th>`)}</tr></thead>
        <tbody>${drawing.rows.map(([time, ...cells]) => html`<tr><th scope="row">${time}</th>${cells.map(cell => html`<td>${cell}</td>`)}</tr>`)}</tbody>
      </table></details>`;
  }
}

const figureCell = ({ text, unit }: Figure) =>
  html`<td>${text}${unit === '' ? nothing : html`<small> ${unit}</small>`}</td>`;

customElements.define('almanac-table', AlmanacTable);
