/** Two stations side by side: equal but for their instruments, or five percent apart in what they hold. */

import { createChance } from '#energy/estimates/chance';
import type { Comparable } from '#energy/estimates/trials/compare';
import { differenceOf } from '#energy/estimates/trials/compare';
import type { FigureName } from '#energy/estimates/trials/figure';
import { dischargeScript, judgeUsableOf, loadOf, type Meter } from './discharges.ts';
import { drawHidden, type Hidden, TOLD } from './hidden.ts';
import { live } from './lived.ts';

export interface Pair {
  readonly byMeter: string;
  readonly byOwnWatts: string;
}

/** Another one of the same make: as large, as lossy, cut off alike; its instruments and its idea of full are its own. */
export function sisterOf(hidden: Hidden, seed: number, holds: number): Hidden {
  const other = drawHidden(seed);
  const chance = createChance(seed + 1);
  return {
    ...other,
    ratedWh: hidden.ratedWh,
    pack: { ...hidden.pack, capacityAh: hidden.pack.capacityAh * holds },
    converter: hidden.converter,
    gauge: hidden.gauge,
    housekeepingW: hidden.housekeepingW,
    lowCutoffPct: hidden.lowCutoffPct,
    chargerMaxW: hidden.chargerMaxW,
    chargerShare: hidden.chargerShare,
    meter: hidden.meter,
    roomC: hidden.roomC + 4 * (chance.uniform() - 0.5),
  };
}

/** @param holds what the second holds of the first */
export function comparePair(seed: number, holds: number): Pair {
  const first = drawHidden(seed);
  const second = sisterOf(first, seed + 300_000, holds);
  const loadW = loadOf(first, seed);
  const lived = [first, second].map((hidden, k) =>
    live(hidden, dischargeScript(loadW * (1 + 0.04 * k), seed + k), seed + 10 + k),
  );
  const verdict = (meter: Meter, what: FigureName): string => {
    const [a, b] = [first, second].map((hidden, k): Comparable | null => {
      const judged = judgeUsableOf(hidden, lived[k]!, meter);
      return judged.phase !== 'done' || judged.result === null
        ? null
        : {
            id: String(k),
            station: `s${hidden.seed}`,
            kind: 'usable',
            result: judged.result,
            ownWattsLimitPct: TOLD.ownWattsLimitPct,
          };
    });
    return a == null || b == null ? 'none' : (differenceOf(a, b, what)?.verdict ?? 'none');
  };
  return { byMeter: verdict('watts', 'deliveredByMeterWh'), byOwnWatts: verdict('none', 'deliveredWh') };
}
