/** The day page's own styles: figures beside what went, hairlines between lines. */
import { css } from 'lit';

export const dayStyles = css`
  .others { display: flex; flex-wrap: wrap; gap: 4px 32px; margin-top: 12px; font-size: 17px; }
  .others a { padding: 10px 0; }
  .others span:empty { display: none; }
  time-chart, .chart-room { margin-top: 16px; }
  .chart-room { height: 460px; }
  .two { display: grid; grid-template-columns: repeat(auto-fit, minmax(min(100%, 360px), 1fr)); gap: 0 64px; }
  table { font-size: 17px; }
  th, td { padding: 7px 0; border-bottom: var(--hair-width) solid var(--hair); vertical-align: baseline; }
  th { padding-right: 16px; font-weight: var(--text-weight); }
  td { white-space: nowrap; }
  th small { margin-left: 8px; font-size: 15px; }
  ul { margin: 0; padding: 0; list-style: none; }
  li { padding: 7px 0; border-bottom: var(--hair-width) solid var(--hair); overflow-wrap: anywhere; }
  .small { color: var(--soft); font-size: 16px; }
  .saving { margin: 16px 0; }
  .saving summary { min-height: 24px; }
  @media (max-width: 719px) {
    .others { gap: 4px 18px; font-size: 16px; }
    .chart-room { height: 360px; }
    table { font-size: 16px; }
  }
`;
