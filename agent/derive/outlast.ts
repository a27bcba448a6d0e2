/**
 * Will it last until the target, and what would help: the runtime engine asked again and again, each time with
 * something supposed. Between questions it gives way, so that readings are taken meanwhile. Instants epoch ms.
 */
import { chargeAt } from '#energy/estimates/energy-map';
import { type AddedSource, addedMin, USUAL_W } from '#energy/estimates/outlast/added';
import { budgetW } from '#energy/estimates/outlast/budget';
import { type Ask, type AskDots, chancesOf, dotsOf, lowestOf, middleOf, SURE } from '#energy/estimates/outlast/chances';
import { type DayAhead, daysAhead, skyAt } from '#energy/estimates/outlast/days-ahead';
import { type LikelyLoad, likelyLoad } from '#energy/estimates/outlast/likely-load';
import { type Sky, sunWh } from '#energy/estimates/outlast/sky';
import { type SteadyDots, toldAlike } from '#energy/estimates/outlast/steady-dots';
import { goneQuiet } from '#energy/estimates/plugged-in/gone-quiet';
import { type NamedLoad, namesFor } from '#energy/estimates/plugged-in/named-loads';
import { type PluggedIn, pluggedIn } from '#energy/estimates/plugged-in/plugged-in';
import { rareCycles } from '#energy/estimates/plugged-in/rare-cycles';
import { pastWith, pastWithout } from '#energy/estimates/plugged-in/without-loads';
import { type Outlook, quantileOf, type RuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import { indexAt, type Past } from '#energy/estimates/runtime/minutes';
import type { Supposed } from '#energy/estimates/runtime/suppose';

const MINUTE_MS = 60_000;
/** Fewer and coarser courses than the one behind the sentence of the moment: thirty questions are asked at once. */
const PATHS = 120;
const STEPS = 720;
/** What draws less is not worth leaving off, W. */
const LEAST_MEAN_W = 1;
const LEAST_SOMETIMES_W = 3;
const MOST_LOADS = 8;
const MOST_STEPS = 2;

/** What is known of one station, at one moment. */
export interface OutlastStation {
  engine: RuntimeEngine;
  facts: RuntimeFacts;
  onMains: boolean;
  typed: boolean;
  /** The AC outlets are off. */
  outletsOff: boolean;
  named: readonly NamedLoad[];
  /** Keeps what was told still from one answer to the next. */
  steady: SteadyDots;
}

export interface OutlastQuestion {
  at: number;
  untilAt: number;
  floorPct: number;
  /** Ends of the coming days and the sky of each set by hand, or null. */
  dayEndsAt: readonly number[];
  skies: readonly (Sky | null)[];
  /** Watts the owner told of each source; null where not. */
  sourceW: Readonly<Record<AddedSource, number | null>>;
}

export interface Changed {
  chances: number;
  addsMin: number | null;
}

export interface LoadOutlook {
  load: PluggedIn;
  named: NamedLoad | null;
  without: Changed | null;
  half: Changed | null;
  quietMin: number | null;
}

export interface OutlastNow {
  outlook: Outlook;
  dots: number[];
  chances: number | null;
  lowest: { pct: number; minutesAhead: number } | null;
  stopsMin: number | null;
  stateOfChargePct: number | null;
  /** What is likely to be used on average until the target; null where nothing can be said. */
  likely: LikelyLoad | null;
  recordedMin: number;
  loads: LoadOutlook[];
  steps: { loads: LoadOutlook[]; chances: number }[];
  budgetW: number | null;
  added: { source: AddedSource; powerW: number; assumed: boolean; minutes: number | null }[];
  days: (DayAhead & { sunWh: number | null })[];
  tomorrow: { sky: 'good' | 'poor'; sunWh: number; chances: number }[];
}

/** One station made ready to be asked under suppositions; what is rare comes as it is due, not as it fell. */
export function asking(station: OutlastStation, q: Pick<OutlastQuestion, 'at' | 'untilAt' | 'floorPct'>) {
  const past = copyOf(station.engine.past());
  const nowMinute = Math.floor(q.at / MINUTE_MS);
  const loads = pluggedIn(past, nowMinute);
  const rare = loads.filter(load => load.kind === 'rare');
  const facts = { ...station.facts, floorPct: q.floorPct };
  const leastMin = 1.05 * ((q.untilAt - q.at) / MINUTE_MS);
  const usual: Supposed =
    rare.length === 0 ? {} : { past: pastWithout(past, rare), rare: rareCycles(loads, nowMinute) };
  const ask: Ask = suppose =>
    station.engine.project(q.at, facts, {
      withoutCharger: station.onMains,
      typed: station.typed,
      suppose: { leastMin, steps: STEPS, paths: PATHS, ...usual, ...suppose },
    });
  /** With these left off, or run for the rest of their time. */
  const without = (off: readonly PluggedIn[], share = 1): Outlook =>
    ask({
      past: pastWithout(pastWithout(past, rare), off, share),
      rare: rareCycles(share === 1 ? loads.filter(load => !off.includes(load)) : loads, nowMinute),
    });
  const withMore = (powerW: number): Outlook => ask({ past: pastWith(usual.past ?? past, powerW) });
  const outlook = ask({});
  const raw = dotsOf(outlook);
  const jumpedAt = station.engine.gauge.jumpedAt();
  const key = JSON.stringify([facts, station.onMains, station.typed, outlook.doubts, outlook.early, jumpedAt]);
  const dots = station.steady.of(q.at, key, raw);
  const alike = toldAlike(raw, dots);
  /** Dots of an answer, as they are told. */
  const told = (found: Outlook): number[] => alike(dotsOf(found));
  const askDots: AskDots = suppose => told(ask(suppose));
  return { past, usual, loads, facts, nowMinute, ask, askDots, told, outlook, dots, without, withMore };
}
export type Asking = ReturnType<typeof asking>;

/**
 * @param a the station, made ready for this question
 * @param pause gives way to whatever else waits
 */
export async function outlastNow(
  a: Asking,
  station: OutlastStation,
  q: OutlastQuestion,
  pause: () => Promise<void>,
): Promise<OutlastNow> {
  const targetMin = (q.untilAt - q.at) / MINUTE_MS;
  const { outlook, dots } = a;
  const loads = await loadOutlooks(a, station, dots, targetMin, pause);
  const known = dots.length > 0;
  const minutesAhead = (at: number) => (at - q.at) / MINUTE_MS;
  await pause();
  const lowest = lowestOf(outlook);
  const isNew = outlook.doubts.includes('newRegime');
  const offsetMin = a.facts.offsetMs === undefined ? null : a.facts.offsetMs(q.at) / MINUTE_MS;
  const likely = known
    ? likelyLoad(a.usual.past ?? a.past, a.usual.rare ?? [], isNew, a.nowMinute, targetMin, offsetMin)
    : null;
  const chances = known ? chancesOf(dots, targetMin) : null;
  const map = station.engine.gauge.map();
  return {
    outlook,
    dots,
    chances,
    lowest:
      lowest === null
        ? null
        : { pct: chargeAt(map, lowest.labelWh / outlook.perPctWh), minutesAhead: lowest.minutesAhead },
    stopsMin: outlook.courses === null ? null : quantileOf(outlook.courses.cutoffMin, 0.5),
    stateOfChargePct: station.engine.gauge.place()?.pct ?? null,
    likely,
    recordedMin: a.past.count - indexAt(a.past, a.nowMinute - 1440),
    loads,
    steps: known ? await leavingOff(a, loads, dots, targetMin, pause) : [],
    budgetW: chances === null ? null : allowedW(budgetW(a.askDots, targetMin), chances, likely),
    added: known ? await whatToAdd(a, q, targetMin, pause) : [],
    days: known ? await comingDays(a, station, q, q.dayEndsAt.map(minutesAhead), pause) : [],
    tomorrow: known ? await tomorrowsSun(a, q, targetMin, pause) : [],
  };
}

/**
 * A steady load drains the night more than one that goes with the sun: where it is sure to get there as it is used now,
 * no less than that is allowed.
 */
const allowedW = (steadyW: number | null, chances: number, likely: LikelyLoad | null): number | null =>
  likely !== null && chances >= SURE ? Math.max(steadyW ?? 0, likely.middleW) : steadyW;

async function loadOutlooks(
  a: Asking,
  station: OutlastStation,
  dots: readonly number[],
  targetMin: number,
  pause: () => Promise<void>,
): Promise<LoadOutlook[]> {
  const shown = a.loads
    .filter(load => load.meanW >= (load.kind === 'sometimes' ? LEAST_SOMETIMES_W : LEAST_MEAN_W))
    .slice(0, MOST_LOADS);
  const names = namesFor(shown, station.named);
  const quiet = goneQuiet(a.loads, a.past, a.nowMinute, load => names[shown.indexOf(load)]?.mustStayOn === true);
  const changed = (off: PluggedIn, share: number): Changed => {
    const then = a.told(a.without([off], share));
    const addsMin = middleOf(then) - middleOf(dots);
    return { chances: chancesOf(then, targetMin), addsMin: Number.isFinite(addsMin) ? Math.max(0, addsMin) : null };
  };
  const outlooks: LoadOutlook[] = [];
  for (const [i, load] of shown.entries()) {
    await pause();
    const named = names[i] ?? null;
    // What must stay on is never suggested, not even as a number.
    const fixed = named?.mustStayOn === true || dots.length === 0;
    outlooks.push({
      load,
      named,
      without: fixed ? null : changed(load, 1),
      half: fixed ? null : changed(load, 0.5),
      quietMin: quiet.find(found => found.load === load)?.quietMin ?? null,
    });
  }
  return outlooks;
}

/** Loads left off one after the other, the one that draws most first, until it is sure enough. */
async function leavingOff(
  a: Asking,
  loads: readonly LoadOutlook[],
  dots: readonly number[],
  targetMin: number,
  pause: () => Promise<void>,
): Promise<OutlastNow['steps']> {
  const steps: OutlastNow['steps'] = [];
  const free = loads.filter(l => l.without !== null && l.load.kind !== 'rest');
  let chances = chancesOf(dots, targetMin);
  for (let n = 1; n <= Math.min(MOST_STEPS, free.length) && chances < SURE; n++) {
    await pause();
    const off = free.slice(0, n);
    chances = chancesOf(a.told(a.without(off.map(l => l.load))), targetMin);
    steps.push({ loads: off, chances });
  }
  return steps;
}

async function whatToAdd(
  a: Asking,
  q: OutlastQuestion,
  targetMin: number,
  pause: () => Promise<void>,
): Promise<OutlastNow['added']> {
  const added: OutlastNow['added'] = [];
  for (const source of ['generator', 'vehicle', 'wall'] as const) {
    await pause();
    const told = q.sourceW[source];
    const powerW = told ?? USUAL_W[source];
    const same = added.find(other => other.powerW === powerW);
    const minutes = same === undefined ? addedMin(a.askDots, targetMin, powerW) : same.minutes;
    added.push({ source, powerW, assumed: told === null, minutes });
  }
  return added;
}

async function comingDays(
  a: Asking,
  station: OutlastStation,
  q: OutlastQuestion,
  endsMin: readonly number[],
  pause: () => Promise<void>,
): Promise<OutlastNow['days']> {
  await pause();
  const days = daysAhead(a.ask, a.told, station.engine.gauge.map(), endsMin, q.skies) ?? [];
  return days.map((day, i) => {
    const from = i === 0 ? q.at : q.dayEndsAt[i - 1]!;
    return { ...day, sunWh: sunWh(a.past, a.facts, from, q.dayEndsAt[i]!, q.skies[i] ?? null) };
  });
}

async function tomorrowsSun(
  a: Asking,
  q: OutlastQuestion,
  targetMin: number,
  pause: () => Promise<void>,
): Promise<OutlastNow['tomorrow']> {
  const [start, end] = q.dayEndsAt as [number, number, ...number[]];
  const ends = [start, end].map(at => (at - q.at) / MINUTE_MS);
  const cases: OutlastNow['tomorrow'] = [];
  for (const sky of ['good', 'poor'] as const) {
    await pause();
    const energyWh = sunWh(a.past, a.facts, start, end, sky);
    if (energyWh === null) return [];
    const dots = a.askDots({ clearness: skyAt(ends, [null, sky]) });
    cases.push({ sky, sunWh: energyWh, chances: chancesOf(dots, targetMin) });
  }
  return cases;
}

/** The arrays of a running past move under whoever waits. */
const copyOf = ({ minutes, outputW, solarW, count }: Past): Past => ({
  minutes: minutes.slice(0, count),
  outputW: outputW.slice(0, count),
  solarW: solarW.slice(0, count),
  count,
});
