/**
 * The best round of the known spots for what is left of a day under a clear sky: where panels stand, when to carry them,
 * and what that brings against leaving them.
 *
 * It errs to the side of staying: unknown hours count as shade at a spot to go to and as sun where panels stand, a walk
 * costs minutes of light, and each has to bring watt-hours worth it. What is a worthwhile walk is our own judgement.
 */
import type { MovingPlan, PlanSpot, SpotOutlook } from './types.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const STEP_MS = 5 * MINUTE_MS;
/** Panels are carried at whole quarters of an hour. */
const CARRY_MS = 15 * MINUTE_MS;
/** Light that one move costs. */
const WALK_MS = 5 * MINUTE_MS;
/** What one move has to bring: so many watt-hours, or this share of what staying gives. */
const WORTH_WH = 15;
const WORTH_SHARE = 0.03;
/** Of the light left, so much has to fall in hours of which it is known whether there is sun. */
const KNOWN_SHARE = 0.6;

/** Watt-hours gathered at one spot from now to each step, in two minds about what is unknown. */
interface Gathered {
  readonly id: string;
  /** Unknown counted as shade, and as sun. */
  readonly leastWh: Float64Array;
  readonly mostWh: Float64Array;
  readonly known: boolean;
}

function gatheredAt(id: string, { sunPerW, shadePerW, is }: SpotOutlook, gainW: number): Gathered {
  const leastWh = new Float64Array(is.length + 1);
  const mostWh = new Float64Array(is.length + 1);
  let [light, known] = [0, 0];
  for (const [i, what] of is.entries()) {
    const perStep = (gainW * STEP_MS) / HOUR_MS;
    leastWh[i + 1] = leastWh[i]! + perStep * (what === 'sun' ? sunPerW[i]! : shadePerW[i]!);
    mostWh[i + 1] = mostWh[i]! + perStep * (what === 'shade' ? shadePerW[i]! : sunPerW[i]!);
    light += sunPerW[i]!;
    if (what !== 'unknown') known += sunPerW[i]!;
  }
  return { id, leastWh, mostWh, known: light > 0 && known >= KNOWN_SHARE * light };
}

interface Round {
  readonly wh: number;
  readonly stays: readonly { readonly id: string; readonly step: number }[];
}

/** The best round with exactly so many moves; the first stay is `from`, or any where that is null. */
function bestRound(all: readonly Gathered[], from: Gathered | null, moves: number, carries: readonly number[]): Round {
  const end = all[0]!.leastWh.length - 1;
  const walk = WALK_MS / STEP_MS;
  let best: Round = { wh: Number.NEGATIVE_INFINITY, stays: [] };
  const stays: { id: string; step: number }[] = [];
  const go = (at: Gathered, wh: Float64Array, since: number, doneWh: number): void => {
    if (stays.length > moves) {
      const whole = doneWh + wh[end]! - wh[since]!;
      if (whole > best.wh) best = { wh: whole, stays: [...stays] };
      return;
    }
    for (const step of carries) {
      if (step < since) continue;
      const untilWh = doneWh + wh[step]! - wh[since]!;
      for (const next of all) {
        if (next === at || !next.known) continue;
        stays.push({ id: next.id, step });
        go(next, next.leastWh, Math.min(end, step + walk), untilWh);
        stays.pop();
      }
    }
  };
  for (const first of from === null ? all.filter(of => of.known) : [from]) {
    stays.push({ id: first.id, step: 0 });
    go(first, from === null ? first.leastWh : first.mostWh, 0, 0);
    stays.pop();
  }
  return best;
}

/**
 * null where no move is worth the walk, or too little is known of the spots.
 *
 * @param spots those that still exist
 * @param standing where panels stand now; null where that is not known or teaches nothing
 * @param untilMs end of the civil day
 */
export function movingPlan(
  spots: readonly PlanSpot[],
  standing: string | null,
  nowMs: number,
  untilMs: number,
): MovingPlan | null {
  const outlooks = spots.flatMap(({ id, learned }) => {
    const outlook = learned.outlook(nowMs, untilMs, STEP_MS);
    return outlook === null ? [] : [{ id, outlook }];
  });
  if (outlooks.length < 2) return null;
  // The same panels everywhere: where one spot's days were hazier, that is no gain of the other.
  const gains = outlooks.map(({ outlook }) => outlook.gainW).sort((a, b) => a - b);
  const all = outlooks.map(({ id, outlook }) => gatheredAt(id, outlook, gains[gains.length >> 1]!));
  const here = all.find(({ id }) => id === standing) ?? null;
  const single = bestSingle(all, here);
  if (single === null) return null;
  const firstCarry = (Math.ceil(nowMs / CARRY_MS) * CARRY_MS - nowMs) / STEP_MS;
  const lastStep = all[0]!.leastWh.length - 1;
  const carries = [0];
  for (let step = Math.ceil(firstCarry); step < lastStep; step += CARRY_MS / STEP_MS) if (step > 0) carries.push(step);
  const stay = bestRound(all, here, 0, carries);
  const worthWh = Math.max(WORTH_WH, WORTH_SHARE * stay.wh);
  let chosen = stay;
  for (const moves of [1, 2]) {
    const round = bestRound(all, here, moves, carries);
    if (round.wh - chosen.wh >= worthWh * (round.stays.length - chosen.stays.length)) chosen = round;
  }
  if (chosen === stay) return null;
  // The first quarter begins between two steps.
  const atMs = (step: number) => (step === 0 ? nowMs : Math.round((nowMs + step * STEP_MS) / CARRY_MS) * CARRY_MS);
  return {
    steps: chosen.stays
      .filter(({ step }, i) => chosen.stays[i + 1]?.step !== 0 || step !== 0)
      .map(({ id, step }) => ({ spot: id, fromMs: atMs(step) })),
    gainWh: chosen.wh - stay.wh,
    against: stay.stays[0]!.id,
    overBestWh: chosen.wh - Math.max(stay.wh, single),
  };
}

/** What the best single spot gives for the rest of the day; null where none is known. */
function bestSingle(all: readonly Gathered[], here: Gathered | null): number | null {
  const whole = all.filter(of => of.known && of !== here).map(of => of.leastWh.at(-1)!);
  if (here !== null) whole.push(here.mostWh.at(-1)!);
  return whole.length === 0 || all.every(of => !of.known) ? null : Math.max(...whole);
}
