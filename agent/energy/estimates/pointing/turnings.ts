/**
 * What it would gain to turn the panels once more: the best way until an hour and the best way after it, against the best
 * way left alone. Full hours of the local clock, then the half hours beside the best of them, are tried with a third of
 * the light and planes that know of no limit of the port; what is told is worked out on all of it.
 *
 * Worth the walk from 20 Wh and 3 % on, and told for hours at least two apart, so that there is a choice (own judgement).
 */
import { bestPlaneOver } from '../../laws/best-plane.ts';
import type { Turning } from './asked.ts';
import { bestLeft } from './best-left.ts';
import { everyNth, gatheredWh, type LightLeft, partOf, type Takes } from './light-left.ts';

const HOUR_MS = 3_600_000;
/** Between full hours; half an hour nearer at either end is still two. */
const APART_MS = 3 * HOUR_MS;
const COARSE = 3;
const MOST = 3;
const WORTH_WH = 20;
const WORTH_SHARE = 0.03;

/**
 * @param dayStartMs hours are counted from here
 * @param bestWh what the best plane left alone gathers
 */
export function turningsOf(light: LightLeft, takes: Takes, dayStartMs: number, bestWh: number): Turning[] {
  const worthWh = Math.max(WORTH_WH, WORTH_SHARE * bestWh);
  return hoursToTell(light, takes, dayStartMs)
    .map(at => turnedAt(light, takes, at, bestWh))
    .filter(({ gainWh }) => gainWh >= worthWh)
    .sort((a, b) => b.gainWh - a.gainWh);
}

/** Hours and half hours at which a turning gathers most. */
function hoursToTell(light: LightLeft, takes: Takes, dayStartMs: number): number[] {
  const coarse = everyNth(light, COARSE);
  const [first, last] = [light.at[0], light.at.at(-1)];
  if (first === undefined || last === undefined) return [];
  const tried = (at: number) => {
    const parts = [partOf(coarse, at, 'before'), partOf(coarse, at, 'from')];
    return { at, wh: parts.reduce((sum, part) => sum + gatheredWh(part, bestPlaneOver(part.steps), takes), 0) };
  };
  const hours: { at: number; wh: number }[] = [];
  for (let at = dayStartMs + Math.ceil((first - dayStartMs + 1) / HOUR_MS) * HOUR_MS; at < last; at += HOUR_MS)
    hours.push(tried(at));
  hours.sort((a, b) => b.wh - a.wh);
  const chosen: typeof hours = [];
  for (const hour of hours)
    if (chosen.length < MOST && chosen.every(({ at }) => Math.abs(at - hour.at) >= APART_MS)) chosen.push(hour);
  return chosen.map(hour => {
    const beside = [hour.at - HOUR_MS / 2, hour.at + HOUR_MS / 2].filter(t => t > first && t < last).map(tried);
    return [hour, ...beside].reduce((a, b) => (b.wh > a.wh ? b : a)).at;
  });
}

function turnedAt(light: LightLeft, takes: Takes, at: number, bestWh: number): Turning {
  const [before, after] = [partOf(light, at, 'before'), partOf(light, at, 'from')];
  const [until, to] = [bestLeft(before, takes), bestLeft(after, takes)];
  return { until, at, to, gainWh: gatheredWh(before, until, takes) + gatheredWh(after, to, takes) - bestWh };
}
