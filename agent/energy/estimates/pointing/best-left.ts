/**
 * The best plane to leave as it is for what is left of the light. Without a limit that is the closed form of
 * `laws/best-plane.ts`. Where the port takes less than the panels could give around noon, light at other hours counts for
 * more: then the plane is felt for from there, in ever smaller steps, by what the port takes (own judgement).
 */
import { bestPlaneOver } from '../../laws/best-plane.ts';
import type { Plane } from '../../laws/incidence.ts';
import { everyNth, gatheredWh, type LightLeft, offeredW, type Takes } from './light-left.ts';

/** Sizes of a step sideways, degrees of arc. */
const STEPS_DEG = [12, 6, 3, 1.5];
/** Moves tried at one size at most. */
const MOVES = 12;
/** Long stretches of light are felt for in every third step. */
const [LONG, COARSE] = [36, 3];

/** Flat where nothing is left. */
export function bestLeft(light: LightLeft, takes: Takes): Plane {
  const plane = bestPlaneOver(light.steps);
  const mostW = takes.portMaxW;
  if (mostW === null || !light.skies.some(sky => offeredW(sky, plane, takes) > mostW)) return plane;
  return felt(light, plane, takes);
}

function felt(all: LightLeft, from: Plane, takes: Takes): Plane {
  const light = all.at.length < LONG ? all : everyNth(all, COARSE);
  let best = from;
  let bestWh = gatheredWh(light, best, takes);
  for (const sizeDeg of STEPS_DEG) {
    for (let move = 0; move < MOVES; move++) {
      const better = around(best, sizeDeg)
        .map(plane => ({ plane, wh: gatheredWh(light, plane, takes) }))
        .reduce((a, b) => (b.wh > a.wh ? b : a));
      if (better.wh <= bestWh) break;
      [best, bestWh] = [better.plane, better.wh];
    }
  }
  return best;
}

/** Steeper, flatter, and to either side by as much of arc; near flat a turn is wide. */
function around({ tiltDeg, azimuthDeg }: Plane, sizeDeg: number): Plane[] {
  const aside = Math.min(90, sizeDeg / Math.max(0.1, Math.sin((tiltDeg * Math.PI) / 180)));
  const turned = (byDeg: number) => ({ tiltDeg, azimuthDeg: (azimuthDeg + byDeg + 360) % 360 });
  return [
    { tiltDeg: Math.min(90, tiltDeg + sizeDeg), azimuthDeg },
    { tiltDeg: Math.max(0, tiltDeg - sizeDeg), azimuthDeg },
    turned(aside),
    turned(-aside),
  ];
}
