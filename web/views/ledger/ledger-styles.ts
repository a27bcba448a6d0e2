/** The Ledger's own styles: the choice of a stretch, the account under the drawing, tables. */
import { css } from 'lit';

export const ledgerViewStyles = css`
  .periods { display: flex; flex-wrap: wrap; align-items: center; gap: 0 20px; margin: 12px 0 0; color: var(--soft); }
  .periods .kinds, .periods .steps { display: flex; flex-wrap: wrap; gap: 0 16px; }
  .periods button { min-width: 48px; min-height: 48px; padding: 0; border: 0; color: var(--soft); }
  .periods button span { padding: 6px 0 3px; border-bottom: 3px solid transparent; }
  .periods button[aria-pressed="true"] { color: var(--ink); font-weight: var(--strong-weight); }
  .periods button[aria-pressed="true"] span { border-color: currentColor; }
  .periods .steps button { text-decoration: underline; text-underline-offset: 3px; }
  .periods .title { margin: 0 auto 0 0; color: var(--ink); }
  ledger-chart { margin-top: 8px; }
  .chart-room { height: 520px; margin-top: 8px; }
  .sides { display: grid; grid-template-columns: minmax(0, 1.5fr) minmax(0, 1fr); gap: 0 56px; margin-top: 16px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); }
  .below { margin-top: 24px; border-top: var(--hair-width) solid var(--hair); }
  h2 { margin: 16px 0 4px; }
  p { margin: 4px 0 8px; max-width: 72ch; }
  table { font-size: 17px; }
  th, td { padding: 7px 0 7px 16px; border-bottom: var(--hair-width) solid var(--hair); }
  th:first-child { padding-left: 0; }
  td { white-space: nowrap; }
  thead th { font-size: 15px; vertical-align: bottom; }
  tbody th { color: var(--ink); white-space: nowrap; }
  tfoot th, tfoot td { color: var(--ink); font-weight: var(--strong-weight); }
  .rest th, .rest td { padding: 5px 0 5px 16px; border: 0; }
  .rest th { padding-left: 0; }
  .rest td { white-space: nowrap; }
  .rest .drawn { width: 46%; }
  .rest svg { display: block; width: 100%; height: 18px; overflow: visible; }
  .rest .whole { stroke: var(--hair); stroke-width: var(--hair-width); }
  .rest .harvest { fill: var(--bar); stroke: var(--stored); stroke-width: 1px; }
  .rest .cause { fill: var(--paper); stroke: var(--ink); stroke-width: 1px; }
  .payback { display: block; width: 100%; max-width: 460px; margin: 8px 0; overflow: visible; }
  .payback text { font-size: 13px; font-weight: var(--text-weight); fill: var(--soft); }
  .payback text.ink { fill: var(--ink); font-weight: var(--strong-weight); }
  .payback text.end { text-anchor: end; }
  .payback .axis { stroke: var(--soft); stroke-width: 1px; }
  .payback .known { fill: none; stroke: var(--ink); stroke-width: 2px; stroke-linejoin: round; }
  .payback .before { fill: none; stroke: var(--ink); stroke-width: 1px; }
  .payback circle { fill: var(--ink); }
  .payback .paid { stroke: var(--ink); stroke-width: 1.9px; stroke-dasharray: 0 5.2; stroke-linecap: round; }
  details { margin: 8px 0; }
  details summary { min-height: 24px; }
  .why summary { color: var(--soft); text-decoration: underline; text-underline-offset: 3px; }
  ul { margin: 8px 0; padding-left: 20px; }
  li { margin: 4px 0; max-width: 72ch; }
  .across { overflow-x: auto; }
  .ways { display: flex; flex-wrap: wrap; gap: 0 32px; margin-top: 16px; }
  .ways a { display: inline-block; padding: 12px 0; }
  @media (max-width: 979px) { .sides { grid-template-columns: minmax(0, 1fr); } }
  @media (max-width: 719px) {
    .chart-room { height: 430px; }
    .periods .title { flex-basis: 100%; order: -1; }
    table { font-size: 15px; }
    thead th { font-size: 13px; }
    .rest tbody th { white-space: normal; }
    td, th + th { padding-left: 10px; }
    .rest td { padding-left: 8px; }
    .sums tbody th { white-space: nowrap; }
    .rest .drawn { width: 30%; }
  }
  @media print {
    .periods .kinds, .periods .steps, .ways, details:not([open]) { display: none; }
    :host { --bar: #000000; }
    table { font-size: 14px; }
    thead th { font-size: 13px; }
    td, th + th { padding-left: 8px; }
    section, table, ledger-chart { break-inside: avoid; }
  }
`;
