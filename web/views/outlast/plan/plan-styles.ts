/** Plan's own styles, over those of Outlast: verdicts, the short lists of figures, the tables that may be wide. */
import { css } from 'lit';

export const planStyles = css`
  .loads td.form { padding: 8px 0; }
  .loads td.verdict { white-space: normal; min-width: 104px; }
  .loads tfoot th, .loads tfoot td { border-bottom: 0; color: var(--soft); }
  .verdict span { display: block; }
  .verdict .runs, .verdict .mild { color: var(--soft); }
  .verdict .othersOff, .verdict .tooBig { font-weight: var(--strong-weight); }
  .verdict .tooBig { display: inline-block; border-left: 4px solid var(--ink); padding-left: 8px; }
  .verdict .half { color: var(--soft); }
  dl { display: grid; grid-template-columns: auto 1fr; gap: 4px 16px; margin: 4px 0 8px; font-size: 18px; line-height: 26px; }
  dt { color: var(--soft); }
  dd { margin: 0; font-weight: var(--strong-weight); }
  .small-table, .months, .hours { font-size: 17px; }
  .small-table th, .small-table td, .months th, .months td, .hours th, .hours td { padding: 6px 0 6px 12px; border-bottom: var(--hair-width) solid var(--hair); }
  .small-table th:first-child, .months th:first-child, .hours th:first-child { padding-left: 0; }
  .small-table tbody th, .months tbody th, .hours tbody th { color: var(--ink); }
  .small-table thead th, .months thead th, .hours thead th { font-size: 15px; }
  .months td { white-space: nowrap; }
  .hours { max-width: 560px; }
  ul.small { margin: 8px 0; }
  .question input { width: 84px; }
  .actions { margin: 12px 0 4px; }
  .back { margin: 0; font-size: 17px; }
  @media (max-width: 719px) {
    dl { font-size: 17px; gap: 2px 12px; }
    .loads td.verdict { min-width: 88px; font-size: 15px; line-height: 20px; overflow-wrap: anywhere; }
    .small-table, .months, .hours { font-size: 15px; }
  }
`;
