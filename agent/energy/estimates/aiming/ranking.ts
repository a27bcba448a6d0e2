/** Marks as of now, the best first: each by itself, its range with what the sky and the sun may have done since. */
import type { MarkedSpot, RankedMark, Why } from './asked.ts';
import { OLD_MS } from './spots-held.ts';
import { sunMotion } from './sun-motion.ts';
import { overWays } from './warming.ts';
import type { WeatherSeen } from './weather-seen.ts';

const TWICE = 1.96;

function rankOne(mark: MarkedSpot, weather: WeatherSeen, nowMs: number): RankedMark {
  const { id, letter, measure, light } = mark;
  const measured = { meanW: measure.meanW, giveOrTakeW: TWICE * measure.errorW };
  const cannot = (why: Why): RankedMark => ({ id, letter, measured, now: null, why });
  if (mark.otherPanels) return cannot('otherPanels');
  if (measure.why !== 'ok') return cannot(measure.why);
  if (nowMs - measure.toMs > OLD_MS) return cannot('old');
  const motion = sunMotion(light, measure.atMs, nowMs);
  if (motion === null) return cannot('dark');
  if (weather.unsteadySince(measure.fromMs)) return cannot('unsteady');
  const warm = overWays(k => 1 - (measure.coolShares[k] ?? 0));
  const meanW = measure.meanW * motion.ratio * warm.mean;
  const sky = weather.since(measure.fromMs, [measure.wander]);
  const errorW = Math.hypot(
    measure.errorW,
    meanW * Math.hypot(motion.error, warm.deviation, sky.share * Math.sqrt((nowMs - measure.toMs) / 1000)),
  );
  return { id, letter, measured, now: { meanW, giveOrTakeW: TWICE * errorW }, why: 'ok' };
}

/** Those that cannot be ranked come last, in the order they were made. */
export function rankMarks(marks: readonly MarkedSpot[], weather: WeatherSeen, nowMs: number): RankedMark[] {
  const all = marks.map(mark => rankOne(mark, weather, nowMs));
  return [
    ...all.filter(mark => mark.now !== null).sort((a, b) => b.now!.meanW - a.now!.meanW),
    ...all.filter(mark => mark.now === null),
  ];
}
