/** Wiring's own styles: drawing and rulers at the left, ways and the meter at the right; black on white in print. */
import { css } from 'lit';

export const wiringViewStyles = css`
  .sides { display: grid; grid-template-columns: minmax(0, 1fr) minmax(0, 416px); gap: 24px 64px; margin-top: 24px; }
  figure { margin: 0; }
  figcaption { margin-top: 8px; color: var(--soft); font-size: 15px; }
  .before { margin-top: 24px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); }
  .expected { margin: 8px 0 0; }
  .rulers { margin-top: 24px; display: grid; gap: 12px; }
  table.ways { font-size: 17px; table-layout: fixed; }
  .ways th, .ways td { padding: 9px 0; border-bottom: var(--hair-width) solid var(--hair); text-align: left; vertical-align: top; }
  .ways th:first-child { width: 30%; padding-right: 12px; }
  .ways thead th { font-size: 15px; }
  .ways tbody th { color: var(--ink); font-weight: var(--strong-weight); }
  .ways button { padding: 1px 0; line-height: 1.35; font-weight: inherit; text-align: left; text-decoration-thickness: 1px; }
  .ways .chosen button { text-decoration-thickness: 3px; }
  .ways .reason { display: block; margin-top: 2px; color: var(--soft); font-size: 16px; line-height: 1.4; }
  .fields { display: flex; flex-wrap: wrap; gap: 12px 24px; margin: 12px 0; }
  .number { flex: 1 1 150px; max-width: 260px; }
  .number label { display: block; padding-bottom: 4px; }
  .ask { margin: 4px 0 0; color: var(--soft); font-size: 15px; line-height: 1.4; }
  .number .wrong { margin: 6px 0 0; }
  .below { max-width: 860px; }
  .below section { margin-top: 32px; padding-top: 8px; border-top: var(--hair-width) solid var(--hair); }
  h2 { margin: 8px 0; }
  ul { margin: 8px 0; padding-left: 20px; }
  li { margin: 6px 0; }
  .ground { color: var(--soft); font-size: 15px; }
  .together { margin-bottom: 24px; padding-bottom: 16px; border-bottom: var(--hair-width) solid var(--hair); }
  .together h2 { margin-top: 0; }
  .together ol { margin: 8px 0 0; padding-left: 22px; }
  .together li { font-size: 17px; line-height: 1.45; }
  .mistakes li { color: var(--ink); font-weight: var(--strong-weight); }
  .missing { margin-top: 16px; border-left: 4px solid var(--ink); padding-left: 12px; }
  .missing p { margin: 6px 0; }
  .actions { margin-top: 24px; }
  @media (max-width: 979px) { .sides { grid-template-columns: minmax(0, 1fr); } }
  @media (max-width: 719px) { .sides { margin-top: 16px; } .number { max-width: none; } }
  @media print {
    .fields, .actions, .what-if, details > summary { display: none; }
    .ways button, .together button { text-decoration: none; }
    .sides { grid-template-columns: minmax(0, 1fr); gap: 16px; margin-top: 12px; }
    section, tr, figure { break-inside: avoid; }
    h1 { font-size: 30px; }
    .sure { font-size: 15px; line-height: 1.4; }
    li, td, .together li { font-size: 13px; }
    .ways .reason, .ground, .ask { font-size: 12px; }
  }
`;
