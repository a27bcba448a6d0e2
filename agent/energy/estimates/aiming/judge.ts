/**
 * The judge of spots: follows a station's readings, and says at any moment what the marks are worth now and what can be
 * told of here. Everything rests on what was read and on the instants it is given; it has no clock.
 */
import type { AimFacts, AimJudge, Light, MarkedSpot, Measure, Standing } from './asked.ts';
import type { Held } from './comparing.ts';
import { measureOf } from './measuring.ts';
import type { Stretch } from './plateaus.ts';
import { rankMarks } from './ranking.ts';
import { createResolution, gatherSeconds, type Second } from './seconds.ts';
import { compareSpots, OLD_MS } from './spots-held.ts';
import { createStretches } from './stretches.ts';
import { DARK_WM2 } from './sun-motion.ts';
import { verdictOf } from './verdict.ts';
import { createWarming, meanCool } from './warming.ts';
import { createWeatherEye, type WeatherSeen } from './weather-seen.ts';

/** A limit is told for a moment and meant for longer. */
const LIMIT_STAYS_MS = 10_000;
const STALE_MS = 30_000;
const TWICE = 1.96;

/** Follows one station. @param facts what is known of its panels */
export function createAimJudge(facts: AimFacts): AimJudge {
  const resolution = createResolution();
  const warming = createWarming(facts.ratedW, facts.powerPerK);
  const stretches = createStretches(resolution.stepW);
  const weatherAt = createWeatherEye();
  let last: Second | null = null;
  let limit: { by: NonNullable<Second['limitedBy']>; atMs: number } | null = null;
  let everyMs = 1000;
  const seconds = gatherSeconds(second => {
    if (last !== null) everyMs = Math.min(STALE_MS, second.atMs - last.atMs);
    last = second;
    if (second.limitedBy !== null) limit = { by: second.limitedBy, atMs: second.atMs };
    warming.add(second.atMs, second.powerW);
    const coolShares = warming.coolShares(second.powerW);
    stretches.add({ ...second, coolShares, meanCool: meanCool(coolShares) });
  });

  /** The stretch the panels are on, if it is still being fed. */
  const currentAt = (nowMs: number): Stretch | null => {
    seconds.until(nowMs);
    return last === null || nowMs - last.atMs > STALE_MS ? null : stretches.current();
  };
  /** Measures of stretches as they were when last asked for, by the light they were taken in. */
  const known = new WeakMap<Stretch, { toMs: number; light: Light | null; measure: Measure | null }>();
  const measured = (stretch: Stretch, light: Light | null): Measure | null => {
    const toMs = stretch.seen.at(-1)?.atMs ?? 0;
    const before = known.get(stretch);
    if (before?.toMs === toMs && before.light === light) return before.measure;
    const measure = measureOf(stretch, light, resolution.stepW());
    known.set(stretch, { toMs, light, measure });
    return measure;
  };
  /** A mark knows more the longer the panels stood on where it was made. */
  const grown = (mark: MarkedSpot): Measure => {
    const stretch = stretches.all().find(s => s.movedAtMs === mark.measure.movedAtMs);
    const measure = stretch === undefined ? null : measured(stretch, mark.light);
    return measure === null || measure.toMs < mark.measure.toMs ? mark.measure : measure;
  };

  return {
    add(sample) {
      resolution.add(sample.powerW);
      seconds.add(sample);
    },
    moved: atMs => stretches.moved(atMs),
    measure(nowMs) {
      const stretch = currentAt(nowMs);
      return stretch === null ? null : measureOf(stretch, null, resolution.stepW());
    },
    look(marks, here, nowMs) {
      const stretch = currentAt(nowMs);
      const stepW = resolution.stepW();
      const measure = stretch === null ? null : measured(stretch, here.light);
      const weather = weatherAt(stretches.all(), here.light, stepW, nowMs);
      const held = marks.map(mark => ({ ...mark, measure: grown(mark) }));
      const limitedBy = limit !== null && nowMs - limit.atMs < LIMIT_STAYS_MS ? limit.by : null;
      const dark = isDark(here.light, last?.powerW ?? null, nowMs);
      const at = hereOf(held, here, measure);
      return {
        sky: weather.now,
        here:
          measure === null
            ? null
            : { meanW: measure.meanW, giveOrTakeW: TWICE * measure.errorW, sinceMs: measure.movedAtMs },
        marks: rankMarks(held, weather, nowMs),
        verdict: verdictOf({
          nowMs,
          here: at.letter,
          measure,
          limitedBy,
          dark,
          than: otherOf(held, at, here, measure, weather, last?.referenceW ?? null, nowMs),
          unsteadyAtMs: weather.unsteadyAtMs,
          unsteadyBetween: unsteadyBetween(at, weather),
          stillMs: weather.stillMs,
          everyMs,
        }),
      };
    },
  };
}

function isDark(light: Light | null, powerW: number | null, nowMs: number): boolean {
  const wm2 = light?.wm2(nowMs) ?? null;
  return wm2 === null ? powerW !== null && powerW < 1 : wm2 < DARK_WM2 && (powerW ?? 0) < 10;
}

interface Here {
  readonly letter: string | null;
  /** Marks of the spot stood at. */
  readonly own: readonly MarkedSpot[];
  /** The newest mark of any other spot that could be ranked, else the newest at all. */
  readonly other: MarkedSpot | null;
}

const canRank = (mark: MarkedSpot): boolean =>
  !mark.otherPanels && ['ok', 'short', 'unsteady'].includes(mark.measure.why);

function hereOf(marks: readonly MarkedSpot[], here: Standing, measure: Measure | null): Here {
  const own = marks.filter(
    mark =>
      (measure !== null && mark.measure.movedAtMs === measure.movedAtMs) ||
      (here.spot !== null && mark.spot === here.spot),
  );
  const keys = own.map(mark => mark.spot).filter(key => key !== null);
  const others = marks.filter(mark => !own.includes(mark) && (mark.spot === null || !keys.includes(mark.spot)));
  return {
    letter: own.at(-1)?.letter ?? null,
    own,
    other: others.findLast(canRank) ?? null,
  };
}

const alike = (marks: readonly MarkedSpot[], mark: MarkedSpot): MarkedSpot[] =>
  mark.spot === null ? [mark] : marks.filter(m => m.spot === mark.spot && canRank(m));

const heldOf = (mark: MarkedSpot): Held => ({ measure: mark.measure, light: mark.light });

function otherOf(
  marks: readonly MarkedSpot[],
  { own, other }: Here,
  here: Standing,
  measure: Measure | null,
  weather: WeatherSeen,
  referenceW: number | null,
  nowMs: number,
) {
  if (other === null) return null;
  const fit = nowMs - other.measure.toMs < OLD_MS && other.measure.why !== 'short';
  if (measure === null) return { letter: other.letter, compared: null, fit };
  const first = [
    ...own.filter(mark => canRank(mark) && mark.measure.movedAtMs !== measure.movedAtMs).map(heldOf),
    { measure, light: here.light },
  ].slice(-3);
  const second = alike(marks, other).map(heldOf).slice(-3);
  return { letter: other.letter, compared: compareSpots(first, second, weather, referenceW, nowMs), fit };
}

function unsteadyBetween({ other }: Here, weather: WeatherSeen): boolean {
  if (other === null) return false;
  return other.measure.why === 'unsteady' || weather.unsteadySince(other.measure.fromMs);
}
