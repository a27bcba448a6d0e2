/** Draws the spots' clock and a spot's skyline as SVG in the ink of the present light; no place is decided here. */
import { css, svg, type TemplateResult } from 'lit';
import type { SkylineLayout } from './skyline-layout.ts';
import type { SpotsLayout } from './spots-layout.ts';

/** @param says the drawing, for those who do not see it */
export const drawnSpots = (layout: SpotsLayout, says: string): TemplateResult => {
  const { width, height, stripHeight, now } = layout;
  return svg`<svg class="clock" role="img" aria-label=${says} width=${width} height=${height} viewBox="0 0 ${width} ${height}">
    ${layout.rows.map(
      ({ name, y, boxes }) => svg`
        <text class=${name.standing ? 'name here' : 'name'} x=${name.x} y=${name.y} dominant-baseline="central">${name.text}</text>
        ${boxes.map(box => svg`<rect class=${box.is} x=${box.x} y=${y} width=${box.width} height=${stripHeight}></rect>`)}`,
    )}
    ${now === null ? null : svg`<line class="now" x1=${now.x} y1=${now.topY} x2=${now.x} y2=${now.bottomY}></line>`}
    ${layout.hours.map(({ x, text }) => svg`<text class="hour" x=${x} y=${layout.hoursY} text-anchor="middle">${text}</text>`)}
  </svg>` as TemplateResult;
};

const points = (of: readonly { x: number; y: number }[]): string => of.map(({ x, y }) => `${x},${y}`).join(' ');

/** @param says the drawing, for those who do not see it */
export const drawnSkyline = (layout: SkylineLayout, says: string): TemplateResult => {
  const { width, height, left, baseY } = layout;
  const box = (name: string) => (of: { x: number; y: number; width: number; height: number }) =>
    svg`<rect class=${name} x=${of.x} y=${of.y} width=${of.width} height=${of.height}></rect>`;
  return svg`<svg class="skyline" role="img" aria-label=${says} width=${width} height=${height} viewBox="0 0 ${width} ${height}">
    ${layout.sunny.map(box('sunny'))}
    ${layout.shaded.map(box('shaded'))}
    ${layout.heights.map(({ y, text }) => svg`<line class="level" x1=${left} y1=${y} x2=${width} y2=${y}></line><text x=${left - 6} y=${y} text-anchor="end" dominant-baseline="central">${text}</text>`)}
    <line class="ground" x1=${left} y1=${baseY} x2=${width} y2=${baseY}></line>
    <polyline class="way" points=${points(layout.track)}></polyline>
    ${layout.edges.map(stroke => svg`<polyline class="edge" points=${points(stroke)}></polyline>`)}
    ${layout.sun === null ? null : svg`<circle class="sun-now" cx=${layout.sun.x} cy=${layout.sun.y} r="6"></circle>`}
    ${layout.winds.map(({ x, text }) => svg`<text x=${x} y=${baseY + 18} text-anchor="middle">${text}</text>`)}
    ${layout.minutes.map(box('minutes'))}
  </svg>` as TemplateResult;
};

export const spotsDrawingStyles = css`
  svg { display: block; max-width: 100%; overflow: visible; }
  svg text { font-size: 16px; font-weight: var(--text-weight); fill: var(--soft); font-variant-numeric: tabular-nums; }
  svg text.name { fill: var(--ink); }
  svg text.here { font-weight: var(--strong-weight); }
  .sun { fill: var(--range); }
  .shade { fill: var(--paper); stroke: var(--ink); stroke-width: 1.5; }
  .unknown { fill: none; stroke: var(--soft); stroke-width: 1.5; stroke-dasharray: 1.5 4; stroke-linecap: round; }
  .now { stroke: var(--ink); stroke-width: 2.5; }
  .sunny { fill: var(--fan-outer); }
  .shaded { fill: var(--paper); stroke: var(--soft); stroke-width: 1; }
  .level { stroke: var(--hair); stroke-width: var(--hair-width); }
  .ground { stroke: var(--ink); stroke-width: 1.5; }
  .way { fill: none; stroke: var(--ink); stroke-width: 1.5; stroke-dasharray: 5 5; }
  .edge { fill: none; stroke: var(--ink); stroke-width: 4; stroke-linejoin: round; }
  .sun-now { fill: var(--paper); stroke: var(--ink); stroke-width: 2.5; }
  .minutes { fill: var(--soft); }
`;
