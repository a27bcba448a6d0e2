/**
 * Two panel sets held against each other. At two ports at once: ratios of stretches of ten minutes. At one port in turn
 * (A-B-A): each time B stood, against what A before and after make of that moment, the sun's own motion taken out where
 * the place is known; an even drift of the sky cancels. The changes are told by hand (steps).
 */
import type { Spoiled, TrialAsked, TrialCurve, TrialJudgement, TrialResult, TrialStep, Waits } from './asked.ts';
import { bandOfWatts, hourCurve } from './curves.ts';
import { clearWatts } from './expected-day.ts';
import { type Figure, figureOf } from './figure.ts';
import { digitOf, HOUR_MS, indexAt, MINUTE_MS, meanOf, medianOf, pctAt, scatterOf, valuesOf } from './samples.ts';
import { solarColumn } from './solar.ts';
import { stood, waiting } from './stage.ts';
import { fromScatter, normalTerm, roundedTerms, type Term, withinLimits } from './terms.ts';
import { gapsSeen, INPUT_W, spoiled, stretchesWhere } from './watch.ts';

type Asked = TrialAsked<'twoSets'>;

const BLOCK_MS = 10 * MINUTE_MS;
/** Blocks wanted at two ports, rounds wanted in turn. */
const BLOCKS = 9;
const ROUNDS = 4;
const LEAST_ROUNDS = 3;
/** After a change the tracker looks for its point and the cells warm; own judgement. */
const SETTLES_MS = 90_000;
/** Neighbouring rounds share a stand, and count as so many of their number. Own judgement, tuned. */
const OVERLAP = 0.55;
const STOOD_MS = 2 * MINUTE_MS;
/** So long a set is asked to stand. */
const STANDS_MS = 5 * MINUTE_MS;
/** More of one stand is not used: the sky goes on. */
const STOOD_MOST_MS = 6 * MINUTE_MS;
/** Longer after A than this, A says nothing of that sky any more. */
const APART_MS = 45 * MINUTE_MS;
/** What a clear sky may bend in the middle of a round, relative. Own judgement, tuned. */
const BEND = 0.0012;
/** Rounds or blocks that scatter more than this say more of clouds than of panels. */
const CLOUDY = 0.12;

interface Ratio {
  readonly at: number;
  /** All that it rests on is over. */
  readonly endsAt: number;
  readonly value: number;
  /** Middle watts, for the digits. */
  readonly aW: number;
  readonly bW: number;
}

const isHeldBack = ({ samples: s, options }: Asked, k: number): boolean => pctAt(s, k) >= options.fullPct - 1;

/** By ports: means of blocks of both. */
function byPorts(asked: Asked, from: number, to: number): Ratio[] {
  const { samples: s, options } = asked;
  const [a, b] = [s.solarPortsW[options.portA - 1], s.solarPortsW[options.portB - 1]];
  if (a === undefined || b === undefined) return [];
  const ratios: Ratio[] = [];
  for (let k = from; k <= to; ) {
    const end = indexAt(s.at, s.at[k]! + BLOCK_MS) - 1;
    if (end >= to) break;
    const [aW, bW] = [meanOf(valuesOf(a, k, end)), meanOf(valuesOf(b, k, end))];
    const told = s.at[end]! - s.at[k]! > 0.8 * BLOCK_MS;
    if (told && aW > INPUT_W && bW > INPUT_W && !isHeldBack(asked, end))
      ratios.push({ at: (s.at[k]! + s.at[end]!) / 2, endsAt: s.at[end]!, value: bW / aW, aW, bW });
    k = end + 1;
  }
  return ratios;
}

interface Stand {
  readonly set: 'a' | 'b';
  readonly at: number;
  readonly endsAt: number;
  readonly watts: number;
}

/** Each time one of the sets stood: its mean beside the clear course, settled. */
function standsOf(asked: Asked, to: number): Stand[] {
  const { samples: s, options } = asked;
  const sun = solarColumn(asked);
  const clear = clearWatts(options.place, options.panels);
  const steps: readonly TrialStep[] = [...asked.steps].sort((x, y) => x.at - y.at);
  return steps.flatMap((step, i) => {
    if (step.step === 'away') return [];
    const endsAt = Math.min(steps[i + 1]?.at ?? Number.POSITIVE_INFINITY, step.at + SETTLES_MS + STOOD_MOST_MS);
    const from = indexAt(s.at, step.at + SETTLES_MS);
    const end = Math.min(to, indexAt(s.at, endsAt) - 1);
    // Only what has been stood out counts, so that nothing said of it changes afterwards.
    if (s.at[to]! < endsAt || end <= from || s.at[end]! - s.at[from]! < STOOD_MS || isHeldBack(asked, end)) return [];
    const watts = valuesOf(sun, from, end);
    // What hangs down while the plugs are changed is none of it.
    const level = medianOf(watts);
    const kept = watts.filter(w => w > 0.5 * level);
    if (!(level > INPUT_W) || kept.length < 5) return [];
    const at = (s.at[from]! + s.at[end]!) / 2;
    const beside = clear === null ? 1 : Math.max(1, clear(at));
    return [{ set: step.step, at, endsAt, watts: meanOf(kept) / beside }];
  });
}

/** Each B between two As; each A between two Bs tells as much, the other way round. */
function inTurn(stands: readonly Stand[]): Ratio[] {
  const ratios: Ratio[] = [];
  for (let k = 1; k + 1 < stands.length; k++) {
    const [before, middle, after] = [stands[k - 1]!, stands[k]!, stands[k + 1]!];
    if (before.set === middle.set || before.set !== after.set || after.at - before.at > APART_MS) continue;
    const share = (middle.at - before.at) / (after.at - before.at);
    const others = before.watts * (1 - share) + after.watts * share;
    const value = middle.set === 'b' ? middle.watts / others : others / middle.watts;
    const [aW, bW] = middle.set === 'b' ? [others, middle.watts] : [middle.watts, others];
    ratios.push({ at: middle.at, endsAt: after.endsAt, value, aW, bW });
  }
  return ratios;
}

function beginning(asked: Asked): number | Waits {
  const { samples: s, startedAt, options, steps } = asked;
  const first = indexAt(s.at, startedAt);
  const last = s.at.length - 1;
  if (first > last) return 'readings';
  if (options.how === 'alternated' && !steps.some(step => step.step !== 'away')) return 'otherSet';
  const sun = solarColumn(asked);
  const found = stretchesWhere(s.at, first, last, k => sun[k]! > INPUT_W, MINUTE_MS, MINUTE_MS)[0];
  return found === undefined ? 'sun' : found.from;
}

interface Rounds {
  readonly ratios: readonly Ratio[];
  /** As independent as they are: neighbours share a stand. */
  readonly counted: number;
}

function roundsOf(asked: Asked, from: number, to: number): Rounds {
  if (asked.options.how === 'ports') {
    const ratios = byPorts(asked, from, to);
    return { ratios, counted: ratios.length };
  }
  const ratios = inTurn(standsOf(asked, to));
  return { ratios, counted: (ratios.length + 1) * OVERLAP };
}

/** The mean ratio with the scatter of its rounds. */
function ratioTerms(
  asked: Asked,
  { ratios, counted }: Rounds,
  from: number,
  to: number,
): { pct: number; terms: Term[] } {
  const { samples: s, options } = asked;
  const values = ratios.map(r => r.value);
  const mean = meanOf(values);
  const pct = 100 * mean;
  const deviation = Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / Math.max(1, values.length - 1));
  const sun = options.how === 'ports' ? s.solarPortsW[options.portA - 1]! : solarColumn(asked);
  const seen = valuesOf(sun, from, to);
  const clear = clearWatts(options.place, options.panels);
  const watts = (of: 'aW' | 'bW') =>
    meanOf(ratios.map(r => r[of] * (options.how === 'ports' || clear === null ? 1 : clear(r.at))));
  const rounding = roundedTerms('rounding', digitOf(seen), 1, scatterOf(seen))[0]!;
  return {
    pct,
    terms: [
      fromScatter('scatter', (100 * deviation) / Math.sqrt(counted), counted - 1),
      // The way digits are rounded is the same for both.
      { ...rounding, effect: rounding.effect * pct * (1 / watts('bW') - 1 / watts('aW')) },
      ...(options.how === 'ports'
        ? // Each port has its own instrument.
          [1, -1].map(sign => withinLimits('ownWatts', (sign * pct * options.ownWattsLimitPct) / 100))
        : [normalTerm('sky', pct * BEND)]),
    ],
  };
}

function resultOf(asked: Asked, rounds: Rounds, from: number, to: number): TrialResult | null {
  const { samples: s, options } = asked;
  if (rounds.counted < 2) return null;
  const { pct, terms } = ratioTerms(asked, rounds, from, to);
  const perRated = options.a.ratedW / options.b.ratedW;
  const figures: Figure[] = [
    figureOf('bOfAPct', pct, '%', 'eachOther', terms),
    figureOf(
      'bOfAPerRatedPct',
      pct * perRated,
      '%',
      'eachOther',
      terms.map(t => ({ ...t, effect: t.effect * perRated })),
    ),
  ];
  const sun = solarColumn(asked);
  const halfAt = bandOfWatts(valuesOf(sun, from, to), options.ownWattsLimitPct);
  const curves: TrialCurve[] = [hourCurve('wattsByHour', s.at, sun, from, to, halfAt)];
  return { figures, curves, under: { meanW: null, tempC: null, fromPct: null, toPct: null } };
}

function spoilersOf(asked: Asked, rounds: Rounds, from: number, to: number, over: boolean): Spoiled[] {
  const { samples: s } = asked;
  const full = stretchesWhere(s.at, from, to, k => isHeldBack(asked, k), MINUTE_MS, MINUTE_MS).map(of =>
    spoiled(
      'batteryFull',
      s.at[of.from]!,
      s.at[of.to]!,
      s.at[of.to]! - s.at[of.from]! > 0.3 * (s.at[to]! - s.at[from]!) ? 'spoils' : 'widens',
    ),
  );
  const mains = stretchesWhere(
    s.at,
    from,
    to,
    k => s.chargerW[k]! > INPUT_W || s.onMains[k] === 1,
    MINUTE_MS,
    MINUTE_MS,
  );
  const values = rounds.ratios.map(r => r.value);
  const mean = meanOf(values);
  const spread = Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / Math.max(1, values.length - 1)) / mean;
  const until = asked.endedAt ?? asked.nowAt;
  return [
    ...full,
    ...mains.map(of => spoiled('mainsBack', s.at[of.from]!, s.at[of.to]!, 'spoils')),
    ...gapsSeen(s.at, from, to, asked.gapLimitMs, HOUR_MS),
    ...(over ? [] : gapsSeen(Float64Array.of(s.at[to]!, until), 0, 1, asked.gapLimitMs, HOUR_MS)),
    ...(rounds.counted >= 2 && spread > CLOUDY
      ? [spoiled('clouds', s.at[from]!, s.at[to]!, over ? 'spoils' : 'noted', 100 * spread, '%')]
      : []),
  ].sort((x, y) => x.at - y.at);
}

/** Ratios wanted: neighbouring ones in turn share a stand. */
const wantedOf = ({ options }: Asked): number => (options.how === 'ports' ? BLOCKS : Math.ceil(ROUNDS / OVERLAP) - 1);

/** The sample at which enough rounds were over; null while they are not. */
function doneAt(asked: Asked, { ratios }: Rounds, to: number): number | null {
  const last = ratios[wantedOf(asked) - 1];
  return last === undefined ? null : Math.min(to, indexAt(asked.samples.at, last.endsAt) + 1);
}

/** Changed over too soon, a set counts for nothing: the page asks for the other one once this one has stood. */
function waitsFor({ samples: s, steps }: Asked, last: number): Waits {
  const step = [...steps].sort((x, y) => x.at - y.at).at(-1);
  const stands = step !== undefined && step.step !== 'away' && s.at[last]! - step.at < STANDS_MS;
  return stands ? 'setStands' : 'otherSet';
}

/** Judges two panel sets against each other. */
export function judgeTwoSets(asked: Asked): TrialJudgement {
  const from = beginning(asked);
  if (typeof from === 'string') return waiting(asked, from);
  const { samples: s, endedAt } = asked;
  const last = endedAt === null ? s.at.length - 1 : Math.max(from, indexAt(s.at, endedAt + 1) - 1);
  const all = roundsOf(asked, from, last);
  const done = doneAt(asked, all, last);
  const to = done ?? last;
  const rounds = done === null ? all : roundsOf(asked, from, to);
  const wanted = wantedOf(asked);
  return stood(asked, {
    beganAt: s.at[from]!,
    endedAt: done === null ? null : s.at[done]!,
    endsBecause: done === null ? null : 'roundsDone',
    waitsFor: asked.options.how === 'alternated' ? waitsFor(asked, last) : null,
    spoiledBy: spoilersOf(asked, rounds, from, to, done !== null || endedAt !== null),
    progress: { share: Math.min(1, all.ratios.length / wanted), count: all.ratios.length, wanted },
    result: () => resultOf(asked, rounds, from, to),
    endsByOwner: rounds.counted >= LEAST_ROUNDS,
  });
}
