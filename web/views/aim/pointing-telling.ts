/** Where to point, in words and figures that a person can set by hand. Pure: from the agent's answer to texts. */
import type { WirePointing } from '#messages';
import { asText, type Formats, GAP, type Times } from '../../format.ts';
import { WINDS } from '../../words/aim.ts';
import * as words from '../../words/aim-pointing.ts';
import { riseCm, windOf } from './degrees.ts';

type RestOfDay = NonNullable<WirePointing['restOfDay']>;
export type Plane = RestOfDay['best'];

/** Gains below these are told as next to nothing; the same as for a turning. */
const WORTH_WH = 20;
const WORTH_SHARE = 0.03;
/** Flat will do where the best gathers no more than this beyond it. */
const FLAT_DOES_SHARE = 0.01;
const FLAT_BELOW_DEG = 2;

const turn = (deg: number): number => ((deg % 360) + 360) % 360;
export const degrees = (deg: number): string => `${Math.round(turn(deg)) % 360}°`;
export const tilted = (deg: number): string => `${Math.round(deg)}°`;

/** `south`, `a little west of south`, `south-south-west`, `south-west`. */
export function directionOf(azimuthDeg: number): string {
  const deg = turn(azimuthDeg);
  const quarter = Math.round(deg / 90);
  const off = deg - quarter * 90;
  if (Math.abs(off) <= 4) return words.cardinal(quarter);
  if (Math.abs(off) <= 17) return words.aLittle(words.cardinal(quarter + (off > 0 ? 1 : 3)), words.cardinal(quarter));
  if (Math.abs(off) >= 34) return words.between(Math.floor(deg / 90));
  return WINDS[windOf(deg)]!;
}

/** How far to turn from one direction to another, the short way round; null where it is not worth telling. */
export function turnFrom(fromDeg: number, toDeg: number): string | null {
  const off = turn(toDeg - fromDeg + 180) - 180;
  if (Math.abs(off) < 3) return null;
  return off > 0 ? words.toRight(degrees(off)) : words.toLeft(degrees(-off));
}

/** Whole tens from 100 on, kilowatt-hours to a tenth. */
export const wattHours = (wh: number, formats: Formats): string =>
  asText(formats.energy(wh >= 100 && wh < 9_995 ? Math.round(wh / 10) * 10 : wh));

/** Ends of a band: whole fives from 50 on. */
export const bandWatts = (watts: number, formats: Formats): string =>
  asText(formats.power(watts >= 50 ? Math.round(watts / 5) * 5 : Math.round(watts)));

export const rise = (plane: Plane, formats: Formats): string => `${formats.number(riseCm(plane.tiltDeg), 0)}${GAP}cm`;

/** One way to stand, as the table's cells have it. */
export const planeCells = (plane: Plane, formats: Formats): [turn: string, tilt: string, up: string] =>
  plane.tiltDeg < FLAT_BELOW_DEG
    ? ['–', words.FLAT, '–']
    : [`${degrees(plane.azimuthDeg)} ${directionOf(plane.azimuthDeg)}`, tilted(plane.tiltDeg), rise(plane, formats)];

/** The first sentence in strong type, and what follows it. */
export function leadOf(pointing: WirePointing, nowMs: number, formats: Formats, times: Times): [string, string] {
  const { restOfDay, bestNow, nextSunriseAt } = pointing;
  if (restOfDay === null) {
    if (nextSunriseAt === null) return [words.SUN_DOWN, words.NO_RISE];
    return [words.SUN_DOWN, words.risesAt(times.moment(Date.parse(nextSunriseAt), nowMs))];
  }
  const [set, why] = setting(pointing, restOfDay, formats, times);
  if (bestNow !== null || nextSunriseAt === null) return [set, why];
  return [words.risesFirst(times.time(Date.parse(nextSunriseAt))), `${set} ${why}`];
}

function setting(pointing: WirePointing, left: RestOfDay, formats: Formats, times: Times): [string, string] {
  const plane = dayPlane(left);
  const { azimuthDeg, tiltDeg } = plane;
  const flat = tiltDeg === 0;
  const until = words.leaveUntil(pointing.sunsetAt === null ? null : times.time(Date.parse(pointing.sunsetAt)));
  const gathers = pointing.panelsW === null ? words.gathersEach : words.gathers;
  const energy = gathers(until, wattHours(flat ? left.flatWh : left.bestWh, formats));
  if (flat) return [words.LAY_FLAT, `${words.FLAT_DOES} ${energy}`];
  return [
    words.turnTo(degrees(azimuthDeg), directionOf(azimuthDeg), tilted(tiltDeg)),
    `${words.raise(rise(plane, formats))} ${energy}`,
  ];
}

/** The way to leave them for the rest of the day: flat where no other gathers much more. */
export function dayPlane({ best, bestWh, flatWh }: RestOfDay): Plane {
  const flatDoes = best.tiltDeg < FLAT_BELOW_DEG || bestWh - flatWh < FLAT_DOES_SHARE * bestWh;
  return flatDoes ? { tiltDeg: 0, azimuthDeg: 0 } : best;
}

export interface GatheredRow {
  name: string;
  energy: string;
  note: string;
}

/** What each way gathers, as a table's rows. */
export function gatheredRows(left: RestOfDay, formats: Formats): GatheredRow[] {
  const row = (name: string, wh: number | null, note = ''): GatheredRow[] =>
    wh === null ? [] : [{ name, energy: wattHours(wh, formats), note }];
  const worse = left.leftAtSunWh !== null && left.leftAtSunWh < left.flatWh * (1 - FLAT_DOES_SHARE);
  return [
    ...row(words.BEST, left.bestWh),
    ...row(words.STANDING, left.standingWh),
    ...row(words.FLAT, left.flatWh),
    ...row(words.LEFT_AT_SUN, left.leftAtSunWh, worse ? words.WORSE_THAN_FLAT : ''),
  ];
}

/** What turning them now gains, or what must be told first. */
export function reaimed({ bestWh, standingWh }: RestOfDay, formats: Formats): string {
  if (standingWh === null) return words.STANDS_UNKNOWN;
  const gain = bestWh - standingWh;
  if (gain < Math.max(WORTH_WH, WORTH_SHARE * bestWh)) return words.STAND_WELL;
  return words.reaim(wattHours(gain, formats));
}
