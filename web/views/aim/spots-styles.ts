/** Styles of the spots: type of 16 px and more, what comes next in ink, targets of 48 px. */
import { css } from 'lit';

export const spotsStyles = css`
  section { margin-top: 24px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); max-width: 760px; }
  h2 { margin: 8px 0; }
  h3 { margin: 0; font-size: 18px; font-weight: var(--strong-weight); overflow-wrap: anywhere; }
  p { margin: 4px 0; max-width: 66ch; text-wrap: pretty; }
  .lead { margin: 8px 0; font-size: 20px; line-height: 28px; }
  .small, figcaption { color: var(--soft); font-size: 16px; line-height: 1.4; }
  .note { overflow-wrap: anywhere; }
  .go { display: inline-flex; align-items: center; min-height: 48px; }
  figure { margin: 12px 0; }
  .legend { display: flex; flex-wrap: wrap; gap: 4px 20px; margin: 4px 0 0; padding: 0; list-style: none; }
  .legend li { display: flex; align-items: center; gap: 8px; }
  .swatch { width: 28px; height: 14px; border: 1.5px solid transparent; }
  .swatch.sun { background: var(--range); }
  .swatch.shade { border-color: var(--ink); background: var(--paper); }
  .swatch.unknown { border: 1.5px dotted var(--soft); }
  .spots { margin: 16px 0 0; padding: 0; list-style: none; }
  .spots > li { padding: 12px 0 4px; border-top: var(--hair-width) solid var(--hair); }
  .spots b { font-weight: var(--strong-weight); }
  summary { min-height: 48px; display: flex; align-items: center; gap: 8px; font-weight: var(--strong-weight); }
  summary::before { content: '+'; width: 1ch; }
  details[open] > summary::before { content: '–'; }
  table { font-size: 16px; }
  th, td { padding: 6px 0 6px 10px; border-bottom: var(--hair-width) solid var(--hair); text-align: right; white-space: nowrap; font-variant-numeric: tabular-nums; }
  thead th { white-space: normal; vertical-align: bottom; }
  th:first-child { padding-left: 0; text-align: left; }
  tbody th { color: var(--ink); }
`;
