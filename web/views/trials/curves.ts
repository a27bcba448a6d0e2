/** Which drawings a result has, and how several results come onto one axis. */
import { html, nothing, type TemplateResult } from 'lit';
import type { WireTrial, WireTrialCurve } from '#messages';
import type { Formats } from '../../format.ts';
import * as words from '../../words/trials-result.ts';
import { curveDrawing } from './curve-drawing.ts';
import { type CurveRoom, curveLayout, type DrawnSeries } from './curve-layout.ts';

export type CurveOf = WireTrialCurve['of'];

export interface Drawing {
  of: CurveOf;
  series: DrawnSeries[];
}

/** A model is drawn with what it is held against. */
const DRAWN_WITH: Partial<Record<CurveOf, CurveOf>> = { clearSkyByHour: 'wattsByHour' };
/** What tells most stands first. */
const FIRST: readonly CurveOf[] = ['efficiencyByLoad', 'wattsByPercent', 'percentByHour', 'wattsByHour'];

const baseOf = (of: CurveOf): CurveOf => DRAWN_WITH[of] ?? of;

/** @param names of each trial, told where there are several */
export function drawingsOf(trials: readonly WireTrial[], names: readonly string[]): Drawing[] {
  const several = trials.length > 1;
  const drawings = new Map<CurveOf, DrawnSeries[]>();
  trials.forEach((trial, i) => {
    let named = false;
    for (const { of, as, points } of trial.judgement.result?.curves ?? []) {
      if (points.length === 0) continue;
      const base = baseOf(of);
      const series = drawings.get(base) ?? [];
      const model = base !== of;
      const name = model ? words.curveName(of) : several && !(named && base === 'efficiencyByLoad') ? names[i]! : '';
      if (base === 'efficiencyByLoad') named = true;
      // Several results under one model sky each: the models would only cover each other.
      if (!(model && several)) series.push({ name, order: i, as, points, model });
      drawings.set(base, series);
    }
  });
  return FIRST.flatMap(of => {
    const series = drawings.get(of) ?? [];
    return series.length === 0 || (several && resultsIn(series) < 2) ? [] : [{ of, series }];
  });
}

const resultsIn = (series: readonly DrawnSeries[]): number =>
  new Set(series.filter(({ model }) => model !== true).map(({ order }) => order)).size;

const SCALES: Partial<Record<CurveOf, Pick<CurveRoom, 'xTo' | 'yTo' | 'yFromLeast'>>> = {
  percentByHour: { yTo: 100 },
  wattsByPercent: { xTo: 100 },
  efficiencyByLoad: { yTo: 100, yFromLeast: true },
};

/** One drawing with its name and what its band means. */
export function curveFigure(
  { of, series }: Drawing,
  formats: Formats,
  { width, height, caption = '' }: { width: number; height: number; caption?: string },
): TemplateResult {
  const { name, x, y } = words.CURVES[of]!;
  const measured = series.filter(one => one.model !== true).flatMap(({ points }) => points);
  const banded = measured.some(({ low95, high95 }) => high95 > low95);
  const says = series
    .filter(({ model }) => model !== true)
    .map(one => saysOf(one, name, formats, { x, y }))
    .join(' ');
  const layout = curveLayout(series, { width, height, units: { x, y }, number: formats.number, ...SCALES[of] });
  const notes = [noteOf(of, banded), caption].filter(text => text !== '').join(' ');
  return html`<figure data-of=${of}><h2 class="curve">${name}</h2>${width === 0 ? nothing : curveDrawing(layout, says)}<figcaption>${notes}</figcaption></figure>`;
}

/** What the band means; why there is none. */
const noteOf = (of: CurveOf, banded: boolean): string =>
  of === 'percentByHour'
    ? words.NO_BAND
    : banded
      ? of === 'efficiencyByLoad'
        ? words.BAND
        : words.BAND_OF_WATTS
      : words.WITHOUT_BAND;

function saysOf(
  { name, points }: DrawnSeries,
  curve: string,
  formats: Formats,
  { x, y }: { x: string; y: string },
): string {
  const place = (point: (typeof points)[number]) =>
    `${formats.number(point.y, 0)} ${y} at ${formats.number(point.x, x === 'h' ? 1 : 0)} ${x}`;
  return words.curveSays(
    name === '' ? curve : `${curve}, ${name}`,
    formats.number(points.length, 0),
    place(points[0]!),
    place(points.at(-1)!),
  );
}
