/** Which curves of which trials stand on one axis, and the drawings of them. */
import type { WireTrial, WireTrialCurve } from '#messages';
import { curveSvg, type Drawn, hasBand } from './curve.ts';
import * as words from './words.ts';

export type Axis = Exclude<WireTrialCurve['of'], 'clearSkyByHour'>;

/** Expected and measured of one day belong on one axis. */
const axisOf = (of: WireTrialCurve['of']): Axis => (of === 'clearSkyByHour' ? 'wattsByHour' : of);

function axesOf(trials: readonly WireTrial[]): Map<Axis, Drawn[]> {
  const drawn = new Map<Axis, Drawn[]>();
  trials.forEach((trial, i) => {
    for (const curve of trial.judgement.result?.curves ?? []) {
      const axis = axisOf(curve.of);
      const name = trials.length > 1 ? trial.id : curve.of === axis ? '' : words.CURVE_NAMES[curve.of].name;
      // What is expected is drawn like another result, beside what was measured.
      const order = curve.of === axis ? i : i + 1;
      drawn.set(axis, [...(drawn.get(axis) ?? []), { curve, name, order }]);
    }
  });
  return drawn;
}

/** One axis as a drawing of its own; '' where these trials have nothing on it. */
export const drawing = (trials: readonly WireTrial[], axis: Axis): string => curveSvg(axesOf(trials).get(axis) ?? []);

const bandOf = (axis: Axis): string => (axis === 'efficiencyByLoad' ? words.BAND : words.BAND_OF_WATTS);

/** Each axis with its caption, as figures of a page. */
export const drawings = (trials: readonly WireTrial[]): string =>
  [...axesOf(trials)]
    .map(([axis, all]) => {
      const svg = curveSvg(all);
      const band = axis === 'percentByHour' ? words.NO_BAND : all.some(hasBand) ? bandOf(axis) : '';
      return svg === ''
        ? ''
        : `<figure><figcaption>${words.CURVE_NAMES[axis].name}.${band === '' ? '' : ` ${band}`}</figcaption>${svg}</figure>`;
    })
    .join('');
