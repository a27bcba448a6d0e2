/** Styles of where to point: type of 18 px, what has to be set in ink, targets of 48 px. */
import { css } from 'lit';

export const pointingStyles = css`
  section { margin-top: 24px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); max-width: 760px; }
  h2 { margin: 8px 0; }
  h3 { margin: 16px 0 4px; font-size: 18px; font-weight: var(--strong-weight); }
  p { margin: 8px 0; max-width: 66ch; text-wrap: pretty; }
  .lead { font-size: 20px; line-height: 28px; }
  table { font-size: 17px; line-height: 1.3; }
  th, td { padding: 8px 0 8px 12px; border-bottom: var(--hair-width) solid var(--hair); text-align: right; vertical-align: top; white-space: nowrap; }
  thead th { padding-top: 0; font-size: 16px; white-space: normal; vertical-align: bottom; }
  th:first-child { padding-left: 0; }
  tbody th { color: var(--ink); white-space: normal; }
  .planes td:nth-child(2), .planes th:nth-child(2) { text-align: left; white-space: normal; }
  .planes { table-layout: fixed; }
  .planes col:nth-child(1) { width: 26%; }
  .planes col:nth-child(3) { width: 15%; }
  .planes col:nth-child(4) { width: 24%; }
  .planes .once { padding-top: 16px; font-weight: var(--strong-weight); text-align: left; }
  .note { display: block; font-size: 16px; color: var(--soft); }
  .small { color: var(--soft); font-size: 16px; line-height: 1.4; }
  ol, ul { margin: 8px 0; padding-left: 24px; max-width: 66ch; }
  li { margin: 10px 0; }
  .causes b { font-weight: var(--strong-weight); }
  .causes .check { display: block; }
  summary { min-height: 48px; display: flex; align-items: center; gap: 8px; font-weight: var(--strong-weight); }
  summary::before { content: '+'; width: 1ch; }
  details[open] > summary::before { content: '−'; }
  .drawings { display: flex; flex-wrap: wrap; gap: 16px 40px; align-items: end; }
  figure { margin: 0; }
  figcaption { max-width: 304px; font-size: 16px; line-height: 1.35; color: var(--soft); }
  a.go { display: inline-flex; align-items: center; min-height: 48px; }
`;
