/** Which curves of which trials stand on one axis, and the drawings of them. */
import type { WireTrial } from '#messages';
import { curveSvg, type Drawn, hasBand } from './curve.ts';
import * as words from './words.ts';

/** Each axis with its caption, as figures of a page. */
export function drawings(trials: readonly WireTrial[]): string {
  const drawn = new Map<string, Drawn[]>();
  for (const trial of trials)
    for (const curve of trial.judgement.result?.curves ?? []) {
      // Expected and measured of one day belong on one axis.
      const axis = curve.of === 'clearSkyByHour' ? 'wattsByHour' : curve.of;
      const name = trials.length > 1 ? trial.id : curve.of === axis ? '' : words.CURVE_NAMES[curve.of].name;
      drawn.set(axis, [...(drawn.get(axis) ?? []), { curve, name }]);
    }
  return [...drawn]
    .map(([axis, all]) => {
      const svg = curveSvg(all);
      return svg === ''
        ? ''
        : `<figure><figcaption>${words.CURVE_NAMES[axis as 'wattsByHour'].name}.${all.some(hasBand) ? ' The band is the range.' : ''}</figcaption>${svg}</figure>`;
    })
    .join('');
}
