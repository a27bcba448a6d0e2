/**
 * The shadow of an upright peg of one metre on level ground: cot h long, pointing away from the sun. It gives the true
 * directions without a compass. The sun's disc blurs its tip by 0.0093 / sin² h metres; below 5° (11 m of shadow, 1.2 m
 * of blur) it is of no use (own judgement).
 */
import type { Shadow } from './asked.ts';

const RAD = Math.PI / 180;
const LOWEST_DEG = 5;

/** @param elevationDeg of the sun as it is seen, refraction included */
export const pegShadow = (elevationDeg: number, sunAzimuthDeg: number): Shadow | null =>
  elevationDeg < LOWEST_DEG
    ? null
    : { lengthM: 1 / Math.tan(elevationDeg * RAD), towardDeg: (sunAzimuthDeg + 180) % 360 };
