/**
 * Aim's own styles. On a phone one column, with the acts fixed above the menu in reach of a thumb; from 720 px on two,
 * the figure at the left, what is said of it and the acts at the right: so too on a phone on its side.
 */
import { css } from 'lit';

export const aimStyles = css`
  :host { padding-bottom: 88px; }
  .about { margin: 0 0 6px; color: var(--soft); font-size: 16px; }
  h1 { min-height: 81px; margin-top: 8px; font-size: 21px; line-height: 27px; font-weight: var(--text-weight); letter-spacing: 0; text-wrap: pretty; }
  h1 b { font-weight: var(--strong-weight); }
  .instead { margin: 0 0 8px; }
  .instead button { min-height: 48px; }
  .acts { position: fixed; z-index: 1; inset: auto 0 calc(49px + env(safe-area-inset-bottom)); display: grid; grid-auto-flow: column; grid-template-columns: 1fr auto; gap: 0 10px; align-items: stretch; padding: 8px 16px; background: var(--paper); border-top: var(--hair-width) solid var(--hair); }
  .acts button { grid-row: 2; min-height: 56px; font-size: 21px; padding: 8px 16px; }
  .acts .told { grid-column: 1 / -1; grid-row: 1; margin: 0 0 8px; font-size: 16px; line-height: 21px; }
  .acts .told:empty { display: none; }
  .acts .tone { min-width: 92px; }
  .more { display: flex; flex-wrap: wrap; gap: 12px; margin: 12px 0 8px; }
  .more button { min-height: 48px; }
  .more button[aria-pressed="true"] { background: var(--port); color: var(--on-port); outline: 2px solid var(--ink); outline-offset: -4px; }
  .why { margin: 12px 0; padding: 0 0 0 16px; border-left: 3px solid var(--hair); color: var(--soft); max-width: 72ch; list-style: none; }
  .why li { margin: 4px 0; }
  .small { color: var(--soft); font-size: 16px; max-width: 70ch; }
  @media (min-width: 720px) {
    :host { padding-bottom: 0; }
    /* What is said may be taller than the figure: the drawing still begins right under that. */
    .top { --wide-size: clamp(147px, 15vw, 220px); display: grid; grid-template: "about about" auto "figure said" calc(0.86 * var(--wide-size)) "minutes said" auto "minutes marks" 1fr / minmax(380px, 5fr) minmax(0, 6fr); gap: 0 40px; }
    .about { grid-area: about; }
    aim-figure { grid-area: figure; }
    .said { grid-area: said; }
    .acts { position: static; max-width: 520px; margin: 16px 0 8px; padding: 0; border: 0; }
    aim-minutes { grid-area: minutes; }
    aim-marks { grid-area: marks; }
    h1 { font-size: clamp(21px, 2.5vw, 32px); line-height: 1.25; }
  }
  @media (min-width: 1000px) {
    .below { display: grid; grid-template-columns: minmax(0, 5fr) minmax(0, 6fr); gap: 0 40px; align-items: start; }
  }
`;
