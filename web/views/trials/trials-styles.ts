/** The manner of Trials: rules and space, a table of results, kinds as a list, the drawing across. */
import { css } from 'lit';

export const trialsStyles = css`
  .back { margin: 6px 0 0; font-size: 17px; }
  .sides { display: grid; grid-template-columns: minmax(0, 1.6fr) minmax(0, 1fr); gap: 8px 44px; margin-top: 16px; }
  .apart { grid-template-rows: auto 1fr; }
  .apart > .aside { grid-column: 2; grid-row: 1 / span 2; }
  figure { margin: 16px 0 0; }
  h2 { margin: 24px 0 4px; font-size: 17px; font-weight: var(--text-weight); color: var(--soft); }
  h2.curve { margin: 0; font-size: 15px; }
  figcaption { margin-top: 4px; color: var(--soft); font-size: 15px; line-height: 21px; }
  p { margin: 4px 0 8px; }
  .ask, .small { color: var(--soft); font-size: 15px; line-height: 21px; }
  .rows { font-size: 17px; }
  .rows th, .rows td { padding: 10px 0 10px 12px; border-bottom: var(--hair-width) solid var(--hair); vertical-align: top; }
  .rows th:first-child, .rows td:first-child { padding-left: 0; text-align: left; }
  .rows tbody th { color: var(--ink); }
  .rows thead th { padding: 4px 0 4px 12px; font-size: 15px; }
  .rows thead th:first-child { padding-left: 0; }
  .rows b { font-weight: var(--strong-weight); }
  .rows .half { display: block; color: var(--soft); font-size: 15px; }
  .rows td.pick { width: 40px; }
  .rows td.pick label { display: inline-flex; align-items: center; justify-content: center; min-width: 32px; min-height: 32px; }
  .rows td.figure { white-space: nowrap; }
  .rows td.words { text-align: left; }
  .across { overflow-x: auto; }
  ul.kinds, ol.week { margin: 0; padding: 0; list-style: none; }
  ul.kinds > li { padding: 12px 0; border-bottom: var(--hair-width) solid var(--hair); }
  ul.kinds .head { display: flex; justify-content: space-between; align-items: baseline; gap: 16px; }
  ul.kinds b { font-size: 19px; font-weight: var(--strong-weight); }
  ul.kinds p { margin: 2px 0 0; }
  ul.kinds a.act { white-space: nowrap; min-height: 28px; }
  ol.week > li { display: grid; grid-template-columns: 7.5em 1fr auto; gap: 4px 12px; padding: 8px 0; border-bottom: var(--hair-width) solid var(--hair); font-size: 17px; }
  ol.week .day, ol.week .state { color: var(--soft); }
  ol.week .done b { font-weight: var(--text-weight); color: var(--soft); }
  ol.week b { font-weight: var(--strong-weight); }
  ul.plain, ol.plain { margin: 4px 0; padding-left: 22px; }
  ul.plain li, ol.plain li { margin: 6px 0; }
  .live { border-left: 4px solid var(--ink); padding: 2px 0 2px 12px; margin: 12px 0; font-size: 19px; }
  .live p { margin: 2px 0; }
  .share { height: 10px; border: 1.5px solid var(--ink); margin: 12px 0 4px; max-width: 560px; }
  .share div { height: 100%; background: var(--stored); }
  .acts { display: flex; flex-wrap: wrap; gap: 12px; margin: 16px 0 8px; }
  .acts a.main { display: inline-flex; align-items: center; min-height: 56px; padding: 8px 28px; background: var(--ink); color: var(--paper); font-weight: var(--strong-weight); text-decoration: none; }
  .steps { display: grid; grid-template-columns: repeat(3, minmax(0, 1fr)); gap: 12px; margin: 8px 0; max-width: 720px; }
  .steps button { min-height: 88px; font-size: 21px; font-weight: var(--strong-weight); }
  .steps button[aria-pressed="true"] { background: var(--ink); color: var(--paper); }
  .fields { display: grid; grid-template-columns: repeat(auto-fill, minmax(232px, 1fr)); gap: 16px 24px; margin: 8px 0 16px; max-width: 860px; }
  .field label { display: block; padding-bottom: 4px; font-size: 17px; }
  .field .ask { margin: 4px 0 0; }
  .field .wrong { margin: 4px 0 0; }
  dl { display: grid; grid-template-columns: auto 1fr; gap: 4px 16px; margin: 4px 0 8px; font-size: 17px; line-height: 25px; }
  dt { color: var(--soft); }
  dd { margin: 0; overflow-wrap: anywhere; }
  details { margin: 6px 0; }
  details summary { min-height: 28px; }
  .below { margin-top: 24px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); max-width: 860px; }
  .files { display: flex; flex-wrap: wrap; gap: 8px 24px; font-size: 17px; }
  .files a, .files button.word { min-height: 28px; }
  form.row { display: flex; flex-wrap: wrap; align-items: end; gap: 8px 16px; }
  form.row input { display: block; min-height: 56px; }
  button.quiet { margin-top: 8px; }
  @media (max-width: 979px) {
    .sides { grid-template-columns: minmax(0, 1fr); }
    .apart > .aside { grid-column: auto; grid-row: auto; }
  }
  @media (max-width: 719px) {
    .rows { font-size: 16px; }
    .rows th, .rows td { padding-left: 8px; }
    .rows td.figure { white-space: normal; }
    .single td.figure .half, .rows th.day { white-space: nowrap; }
    .acts button.main, .acts a.main { width: 100%; justify-content: center; }
    .steps button { min-height: 104px; padding: 8px 4px; font-size: 19px; }
    ol.week > li { grid-template-columns: 6.4em 1fr auto; font-size: 16px; }
  }
`;
