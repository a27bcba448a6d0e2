/** How the Ledger's drawing looks in each light. The carpet's deepest ink is dim at night, where much of it is seen at once. */
import { css } from 'lit';

export const ledgerChartStyles = css`
  :host { display: block; --deepest: #24282d; }
  :host([light="glare"]) { --deepest: #000000; }
  :host([light="night"]) { --deepest: #74492c; }
  * { box-sizing: border-box; }
  .drawing { position: relative; outline-offset: 2px; touch-action: pan-y; cursor: pointer; user-select: none; }
  .drawing:focus-visible { outline: 3px solid var(--ink); }
  canvas { position: absolute; image-rendering: pixelated; }
  canvas[hidden] { display: none; }
  svg { display: block; position: relative; width: 100%; height: auto; overflow: visible; }
  text { font-size: 13px; font-weight: var(--text-weight); fill: var(--soft); }
  text.end { text-anchor: end; }
  text.middle { text-anchor: middle; }
  text.ink { fill: var(--ink); }
  text.strong-ink { fill: var(--ink); font-weight: var(--text-weight); }
  text.name { fill: var(--ink); font-weight: var(--strong-weight); }
  .whole { fill: var(--bar); }
  .now { fill: var(--fan-inner); }
  .edges { stroke: var(--stored); stroke-width: 2px; }
  .partly { fill: none; stroke: var(--stored); stroke-width: 1.2px; stroke-dasharray: 3 3; }
  .step { stroke: var(--paper); stroke-width: 1px; opacity: 0.5; }
  .base { stroke: var(--ink); stroke-width: 1.5px; }
  .clear { fill: none; stroke: var(--ink); stroke-width: 1.9px; stroke-dasharray: 0 5.2; stroke-linecap: round; stroke-linejoin: round; }
  .hatching { stroke: var(--soft); stroke-width: 1px; }
  .lead { fill: none; stroke: var(--ink); stroke-width: 1px; }
  .halo { fill: none; stroke: var(--paper); stroke-width: 3px; }
  .cursor { stroke: var(--ink); stroke-width: 1px; }
  .reading { display: flex; flex-wrap: wrap; justify-content: flex-end; align-items: center; gap: 0 16px; min-height: 44px; color: var(--ink); font-size: 15px; line-height: 20px; }
  .hint, .binned { color: var(--soft); }
  .binned { margin: 0; font-size: 15px; }
  .notes { display: flex; flex-wrap: wrap; gap: 2px 16px; margin: 0 0 4px; color: var(--ink); font-size: 14px; line-height: 20px; }
  .notes b { font-weight: var(--strong-weight); }
  .open { display: inline-flex; align-items: center; min-height: 44px; padding: 0; border: 0; background: none; color: var(--ink); font: inherit; text-decoration: underline; text-underline-offset: 3px; cursor: pointer; }
  .open:focus-visible { outline: 3px solid var(--ink); outline-offset: 3px; }
  @media (max-width: 719px) {
    .reading { justify-content: space-between; font-size: 14px; }
  }
  @media print {
    :host { --bar: #000000; --fan-inner: rgb(0 0 0 / 0.2); }
    .reading { display: none; }
  }
`;
