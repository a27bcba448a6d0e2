/**
 * What the panels give at a spot for each watt that the clear-sky law promises, and how they stand where the owner has
 * not said or not said exactly. A label, dirt, heat and hazy air all end in one number, learned from the best hours:
 * shade and clouds only ever take away, so the level that most steady minutes share, with next to none above it, is the
 * sun's; and it counts once separate days agree on it. Own judgement throughout; no source.
 */
import { cosIncidence, type Plane } from '../../laws/incidence.ts';
import type { ClearSky } from '../../sky.ts';
import type { DayRecord } from './day-record.ts';
import { type DaySun, NODE_MIN, wattsUnder } from './solar-day.ts';

/** Steady samples lie this many minutes apart. */
const SAMPLE_MIN = 2 * NODE_MIN;
/** Samples of one level lie within this share of each other; those above by more than `ABOVE` speak against it. */
const BAND = 0.1;
const ABOVE = 0.07;
/**
 * A day has a level where this many samples share it, and so many of them follow on each other: an hour, and forty
 * minutes; an hour and a half where no label says whether a level can be the sun's.
 */
const SAMPLES_AT_LEAST = 8;
const ON_END = 5;
const ON_END_UNLABELLED = 12;
/** Levels of two days agree within this share: haze and dust change from day to day. */
const DAYS_AGREE = 0.14;
/** What panels give for each watt of label, in the sun: outside of it something else was measured. */
const PLAUSIBLE = { least: 0.4, most: 1.35 };
/** Panels that look away from the sun get as much from a bright cloud: such hours show no level. */
const TOWARDS_AT_LEAST = 0.85;
/** A degree away from what the owner said costs this share of the support. */
const PRIOR_PER_DEG = 0.03;

export interface Scale {
  readonly plane: Plane;
  /** Watts for each watt of label that `wattsUnder` promises. */
  readonly gainW: number;
  /** Days that agree. */
  readonly days: number;
}

/** A steady moment of a day. */
export interface SteadySample {
  /** Of the solar day. */
  readonly minute: number;
  readonly powerW: number;
  readonly sky: ClearSky;
}

/** A day's steady moments, none of them limited. */
export function steadySamples(record: DayRecord, sun: DaySun, steady: Uint8Array): SteadySample[] {
  const samples: SteadySample[] = [];
  for (let k = Math.ceil(record.first / SAMPLE_MIN) * SAMPLE_MIN; k < record.last; k += SAMPLE_MIN) {
    const sky = sun.nodes[k / NODE_MIN];
    if (sky === null || sky === undefined || k === 0 || steady[k] !== 1 || record.limited[k] === 1) continue;
    // A node is the beginning of its minute, so the two minutes around it are its moment.
    const powerW = (record.powerW[k - 1]! + record.powerW[k]!) / 2;
    if (powerW > 0) samples.push({ minute: k, powerW, sky });
  }
  return samples;
}

/** Measured over promised, at a minute of the day. */
interface Ratio {
  readonly minute: number;
  readonly ratio: number;
}

/** The level that most of the day's samples share, with few above it; null where none is shared by enough. */
export function dayLevel(samples: readonly Ratio[], least = ON_END): { level: number; score: number } | null {
  const ratios = Float64Array.from(samples, sample => sample.ratio).sort();
  let best: { from: number; level: number; score: number } | null = null;
  let to = 0;
  let over = 0;
  for (let from = 0; from < ratios.length; from++) {
    const top = ratios[from]! * (1 + BAND);
    while (to < ratios.length && ratios[to]! <= top) to++;
    while (over < ratios.length && ratios[over]! <= top * (1 + ABOVE)) over++;
    const score = to - from - 2 * (ratios.length - over);
    if (to - from < SAMPLES_AT_LEAST || score <= 0 || score <= (best?.score ?? 0)) continue;
    best = { from: ratios[from]!, level: ratios[(from + to) >> 1]!, score };
  }
  return best !== null && onEnd(samples, best.from, best.from * (1 + BAND)) >= least ? best : null;
}

/** Most samples on end that lie between two ratios: clouds hold a level for minutes, the sun for hours. */
function onEnd(samples: readonly Ratio[], low: number, high: number): number {
  let [most, count, before] = [0, 0, Number.NaN];
  for (const { minute, ratio } of samples) {
    const inside = ratio >= low && ratio <= high;
    count = inside ? (minute - before === SAMPLE_MIN ? count + 1 : 1) : 0;
    before = minute;
    most = Math.max(most, count);
  }
  return most;
}

interface Agreed {
  gainW: number;
  score: number;
  days: number;
}

/** What days agree on if panels stand like this. */
function agreedOn(days: readonly (readonly SteadySample[])[], plane: Plane, least: number): Agreed | null {
  const levels = days.flatMap(samples => {
    const ratios: Ratio[] = [];
    for (const { minute, powerW, sky } of samples) {
      const { perW, towards } = wattsUnder(sky, plane);
      if (towards >= TOWARDS_AT_LEAST) ratios.push({ minute, ratio: powerW / perW });
    }
    return dayLevel(ratios, least) ?? [];
  });
  let best: Agreed | null = null;
  for (const { level } of levels) {
    const near = levels.filter(other => Math.abs(other.level / level - 1) <= DAYS_AGREE);
    const above = levels.filter(other => other.level > level * (1 + DAYS_AGREE + ABOVE));
    const score = sum(near) - 2 * sum(above);
    if (score <= (best?.score ?? 0)) continue;
    const sorted = near.map(other => other.level).sort((a, b) => a - b);
    best = { gainW: sorted[sorted.length >> 1]!, score, days: near.length };
  }
  return best;
}

const sum = (levels: readonly { score: number }[]): number => levels.reduce((all, { score }) => all + score, 0);

const RAD = Math.PI / 180;
/** Angle between two planes. */
const apartDeg = (a: Plane, b: Plane): number =>
  Math.acos(Math.min(1, Math.max(-1, cosIncidence(a.tiltDeg, a.azimuthDeg, b)))) / RAD;

/** Every way to stand, 15° apart. */
const ANY_PLANES: readonly Plane[] = [0, 15, 30, 45, 60, 75].flatMap(tiltDeg =>
  Array.from({ length: tiltDeg === 0 ? 1 : 24 }, (_, i) => ({ tiltDeg, azimuthDeg: i * 15 })),
);

/** Ways to stand around one, `stepDeg` up, down and to the sides. */
const planesAround = (of: Plane, stepDeg: number): Plane[] =>
  [-1, 0, 1].flatMap(up =>
    [-1, 0, 1].flatMap(aside => {
      const tiltDeg = of.tiltDeg + up * stepDeg;
      // Turned on its foot, a flat panel hardly changes where it looks.
      const widen = 1 / Math.max(0.4, Math.sin(Math.max(tiltDeg, 1) * RAD));
      return tiltDeg < 0 || tiltDeg > 90
        ? []
        : [{ tiltDeg, azimuthDeg: (of.azimuthDeg + aside * stepDeg * widen + 360) % 360 }];
    }),
  );

/**
 * How panels stand and what they give there, from steady moments of several days; null while too few days agree.
 *
 * @param said how the owner says they stand; null where that is not known
 * @param before the scale found earlier, to go on from
 * @param ratedW sum of the labels; null where not known, and then one more day has to agree
 */
export function fitScale(
  days: readonly (readonly SteadySample[])[],
  said: Plane | null,
  before: Scale | null,
  ratedW: number | null,
): Scale | null {
  const plausible = ({ gainW, days: agree }: Agreed): boolean =>
    ratedW === null ? agree >= 3 : agree >= 2 && gainW >= PLAUSIBLE.least * ratedW && gainW <= PLAUSIBLE.most * ratedW;
  const bestOf = (planes: readonly Plane[]): (Agreed & { plane: Plane }) | null => {
    let best: (Agreed & { plane: Plane; worth: number }) | null = null;
    for (const plane of planes) {
      const agreed = agreedOn(days, plane, ratedW === null ? ON_END_UNLABELLED : ON_END);
      if (agreed === null || !plausible(agreed)) continue;
      const near = said === null ? 1 : 1 - PRIOR_PER_DEG * apartDeg(plane, said);
      const worth = agreed.score * near;
      if (worth > (best?.worth ?? 0)) best = { ...agreed, plane, worth };
    }
    return best;
  };
  const from = before?.plane ?? said;
  const coarse = from === null ? bestOf(ANY_PLANES) : bestOf(planesAround(from, 7));
  if (coarse === null) return null;
  const fine = bestOf(planesAround(coarse.plane, 3)) ?? coarse;
  return { plane: fine.plane, gainW: fine.gainW, days: fine.days };
}
