/** What `wattkeep aim` says beyond the sun and the planes: Wh of these panels, turning them once more, a peg's shadow. */
import type { Pointing } from '#energy/estimates/pointing/asked';
import { plane, toward } from './aim-words.ts';

/** As it is printed; null where the sun leaves nothing to say. */
export interface MorePointed {
  nextSunriseAt: string | null;
  /** Of the panels, behind their losses, until midnight. */
  restOfDayWh: { best: number; flat: number; leftAtSun: number | null; standing: number | null } | null;
  turnings: { until: Plane; at: string; to: Plane; gainWh: number }[];
  shadow: Pointing['shadow'];
  expectedBand: { lowW: number; middleW: number; highW: number; spreads: { of: string; pct: number }[] } | null;
}
type Plane = NonNullable<Pointing['bestNow']>;

/** @param iso an instant with the offset of its place */
export function morePointed(pointed: Pointing, iso: (at: number) => string): MorePointed {
  // Without panels energies are of each 100 W, which nobody asked for here.
  const left = pointed.panelsW === null ? null : pointed.restOfDay;
  const { expected, nextSunriseAt } = pointed;
  return {
    nextSunriseAt: nextSunriseAt === null ? null : iso(nextSunriseAt),
    restOfDayWh:
      left === null
        ? null
        : { best: left.bestWh, flat: left.flatWh, leftAtSun: left.leftAtSunWh, standing: left.standingWh },
    turnings: (left?.turnings ?? []).map(turning => ({ ...turning, at: iso(turning.at) })),
    shadow: pointed.shadow,
    expectedBand:
      expected === null
        ? null
        : {
            lowW: expected.lowW,
            middleW: expected.middleW,
            highW: expected.highW,
            spreads: expected.spreads.map(spread => ({ ...spread })),
          },
  };
}

export function pointedLines(
  { restOfDayWh: left, turnings, shadow, expectedBand: band }: MorePointed,
  peakW: number,
): string {
  const wh = (value: number) => `${Math.round(value)} Wh`;
  const lines: string[] = [];
  if (band !== null && band.highW >= 1)
    lines.push(
      `expected now  ${Math.round(band.lowW)} to ${Math.round(band.highW)} W, 19 times in 20 under a clear sky`,
    );
  if (left !== null) {
    const atSun =
      left.leftAtSun === null
        ? ''
        : `, aimed at the sun now and left ${wh(left.leftAtSun)}${left.leftAtSun < left.flat ? ': worse than flat' : ''}`;
    const stands = left.standing === null ? '' : `, as it stands ${wh(left.standing)}`;
    lines.push(`${peakW} W till midnight  best ${wh(left.best)}, flat ${wh(left.flat)}${stands}${atSun}`);
  }
  for (const { until, at, to, gainWh } of turnings)
    lines.push(
      `turned once   at ${at.slice(11, 16)}: until then ${plane(until)}; then ${plane(to)}: ${wh(gainWh)} more`,
    );
  if (shadow !== null)
    lines.push(`a metre's peg throws ${shadow.lengthM.toFixed(2)} m of shadow to ${toward(shadow.towardDeg)}`);
  return lines.map(line => `${line}\n`).join('');
}
