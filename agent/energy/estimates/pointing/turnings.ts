/**
 * What it would gain to turn the panels once more: the best way until an hour and the best way after it, against the best
 * way left alone. Hours are tried each half hour of the local clock, with light taken each quarter of an hour; what is
 * told is then worked out on all of it.
 *
 * Worth the walk from 20 Wh and 3 % on, and told for hours two apart, so that there is a choice (own judgement).
 */
import type { Turning } from './asked.ts';
import { bestLeft } from './best-left.ts';
import { everyNth, gatheredWh, type LightLeft, partOf, type Takes } from './light-left.ts';

const EACH_MS = 30 * 60_000;
const APART_MS = 120 * 60_000;
const COARSE = 3;
const MOST = 3;
const WORTH_WH = 20;
const WORTH_SHARE = 0.03;

/**
 * @param dayStartMs hours are counted from here
 * @param bestWh what the best plane left alone gathers
 */
export function turningsOf(light: LightLeft, takes: Takes, dayStartMs: number, bestWh: number): Turning[] {
  const [first, last] = [light.at[0], light.at.at(-1)];
  if (first === undefined || last === undefined) return [];
  const coarse = everyNth(light, COARSE);
  const hours: { at: number; wh: number }[] = [];
  for (let at = dayStartMs + Math.ceil((first - dayStartMs + 1) / EACH_MS) * EACH_MS; at < last; at += EACH_MS)
    hours.push({ at, wh: turnedAt(coarse, takes, at).wh });
  hours.sort((a, b) => b.wh - a.wh);
  const chosen: number[] = [];
  for (const { at } of hours)
    if (chosen.length < MOST && chosen.every(other => Math.abs(other - at) >= APART_MS)) chosen.push(at);
  return chosen
    .map(at => {
      const { wh, until, to } = turnedAt(light, takes, at);
      return { until, at, to, gainWh: wh - bestWh };
    })
    .filter(({ gainWh }) => gainWh >= Math.max(WORTH_WH, WORTH_SHARE * bestWh))
    .sort((a, b) => b.gainWh - a.gainWh);
}

function turnedAt(light: LightLeft, takes: Takes, at: number) {
  const [before, after] = [partOf(light, at, 'before'), partOf(light, at, 'from')];
  const [until, to] = [bestLeft(before, takes), bestLeft(after, takes)];
  return { until, to, wh: gatheredWh(before, until, takes) + gatheredWh(after, to, takes) };
}
