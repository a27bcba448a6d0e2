/** Outlast's own styles: the drawing across, what is plugged in at the left, what helps at the right. */
import { css } from 'lit';

export const outlastViewStyles = css`
  .line { display: flex; flex-wrap: wrap; align-items: center; gap: 8px 16px; }
  .line .sure { margin: 8px 0; }
  .question { display: flex; flex-wrap: wrap; align-items: center; gap: 8px 12px; margin: 4px 0; font-size: 19px; color: var(--soft); }
  .question label { display: flex; align-items: center; gap: 8px; }
  .question input, .question select { width: auto; color: var(--ink); }
  .question input.floor { width: 68px; }
  .question .wrong { flex-basis: 100%; margin: 0; }
  figure { margin: 16px 0 0; }
  .room { min-height: 236px; }
  figcaption { color: var(--soft); font-size: 15px; }
  .sides { display: grid; grid-template-columns: minmax(0, 1.5fr) minmax(0, 1fr); gap: 8px 44px; margin-top: 16px; }
  .loads { font-size: 17px; }
  .loads th, .loads td { padding: 12px 0 12px 12px; border-bottom: var(--hair-width) solid var(--hair); vertical-align: top; }
  .loads th:first-child { padding-left: 0; }
  .loads tbody th { color: var(--ink); }
  .loads td { white-space: nowrap; }
  .loads thead th { font-size: 15px; padding-top: 4px; }
  .habit { color: var(--soft); }
  .half { display: block; font-size: 15px; }
  .loads button.word { margin-left: 6px; font-size: 15px; color: var(--soft); min-height: 24px; }
  h2 { margin: 12px 0 4px; font-size: 17px; font-weight: var(--text-weight); color: var(--soft); }
  .told { margin: 0 0 8px; font-size: 20px; line-height: 28px; }
  .told b { font-weight: var(--strong-weight); }
  p { margin: 4px 0 8px; }
  .ask { color: var(--soft); font-size: 15px; }
  .small { color: var(--soft); font-size: 15px; line-height: 21px; }
  .fields { display: flex; flex-wrap: wrap; gap: 12px; margin: 8px 0; }
  .number { flex: 1 1 110px; }
  .number label { display: block; padding-bottom: 4px; font-size: 15px; }
  .quiet { margin: 16px 0 0; }
  .below { margin-top: 24px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); max-width: 860px; }
  .week { font-size: 17px; }
  .week th, .week td { padding: 4px 0 4px 12px; border-bottom: var(--hair-width) solid var(--hair); }
  .week th:first-child { padding-left: 0; color: var(--ink); }
  .week select { width: auto; }
  .across { overflow-x: auto; }
  details { margin: 12px 0; }
  details summary { min-height: 24px; }
  ul { margin: 8px 0; padding-left: 20px; }
  li { margin: 6px 0; }
  @media (max-width: 979px) { .sides { grid-template-columns: minmax(0, 1fr); } }
  @media (max-width: 719px) {
    .question { font-size: 16px; gap: 8px; }
    .room { min-height: 206px; }
    figcaption { font-size: 14px; line-height: 20px; }
    .told { font-size: 18px; line-height: 25px; }
    .loads { font-size: 16px; }
    .loads th, .loads td { padding-left: 8px; }
    .week, .week select { font-size: 15px; }
    .week th, .week td { padding-left: 6px; }
    .week select { padding: 6px 2px; }
  }
`;
