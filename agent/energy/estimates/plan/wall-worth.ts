/**
 * What charging at the right hours would save a month, and what it costs the battery. Held against the same station used
 * without a look at the price: plugged in, and on the battery only as far as the sun filled it. Each recorded week is gone
 * through with both; their spread is the range. Money in the tariff's currency.
 */
import { type Range, rangeOf } from './lasting.ts';
import { bestWallHours, type WallHours, type WallPlan, type WallStation } from './wall-hours.ts';

/** Mean load and sun by hour of the week, W; null where not recorded. */
export interface RecordedWeek {
  loadW: readonly (number | null)[];
  sunW: readonly (number | null)[];
}

export interface WallAdvice {
  /** `flat`: every hour costs the same. `nothing`: losses and wear take all of it. */
  kind: 'flat' | 'nothing' | 'saves';
  /** Plugged in, by hour of the week from Monday 00:00; empty where nothing is to be saved. */
  on: boolean[];
  /** A month, wear taken off; all 0 where nothing is to be saved. */
  saves: Range;
  /** Full cycles a month that it adds. */
  cycles: number;
  /** What these wear off, a month; null where the station's price is not told. */
  wear: number | null;
  /** Recorded weeks behind the range. */
  weeks: number;
}

const WEEK_H = 168;
/** Weeks in a mean month. */
export const WEEKS_A_MONTH = 365.25 / 12 / 7;
/** Full cycles that a lithium iron phosphate station is good for (common practice, no source; makers say 2000 to 4000). */
export const CYCLES = 3000;
/** With fewer weeks on record, load and sun are taken this much apart (own judgement). */
const FEW_WEEKS = 3;
const APART = [0.7, 1, 1.3] as const;
/** Loads that plans are made for, as multiples of the usual one. */
const LOADED = [1, 1.12, 1.3, 1.6] as const;
/** Less a month is not worth a timer, as a share of the dearest hour's price of a kilowatt-hour. */
const LEAST_SHARE = 0.1;

export interface WallQuestion {
  /** By hour of the week, a kilowatt-hour. */
  perKWh: readonly number[];
  weeks: readonly RecordedWeek[];
  /** What is reckoned with in an hour that no week recorded, W. */
  usualLoadW: number;
  /** Without `wearPerWh`. */
  station: Omit<WallStation, 'wearPerWh'>;
  ratedWh: number;
  /** What the station cost; null: not told. */
  paid: number | null;
}

export function wallAdvice(q: WallQuestion): WallAdvice {
  const none = { on: [], saves: { p10: 0, p50: 0, p90: 0 }, cycles: 0, wear: null, weeks: q.weeks.length };
  const dearest = Math.max(...q.perKWh);
  if (dearest === Math.min(...q.perKWh)) return { kind: 'flat', ...none };
  const wearPerWh = q.paid === null ? 0 : q.paid / (CYCLES * q.ratedWh);
  const station: WallStation = { ...q.station, wearPerWh };
  if (!(station.usableWh > 0) || !(station.wallW > 0)) return { kind: 'nothing', ...none };
  const usual = usualWeek(q);
  const meanPrice = q.perKWh.reduce((sum, p) => sum + p, 0) / WEEK_H;
  const weeks = livedWeeks(q, usual);
  const plan = steadiest(usual, weeks, station);
  const blind = bestWallHours({ ...usual, perKWh: usual.perKWh.map(() => meanPrice) }, station);
  const lived = weeks.map(week => {
    const [mine, other] = [liveWeek(week, plan, station), liveWeek(week, blind, station)];
    return { saved: other.cost - mine.cost, takenWh: mine.takenWh - other.takenWh };
  });
  const saves = scaled(rangeOf(lived.map(l => l.saved)), WEEKS_A_MONTH);
  if (saves.p50 <= LEAST_SHARE * dearest) return { kind: 'nothing', ...none };
  const takenWh = lived.reduce((sum, l) => sum + l.takenWh, 0) / lived.length;
  const cycles = Math.max(0, (takenWh / q.ratedWh) * WEEKS_A_MONTH);
  const wear = q.paid === null ? null : (q.paid / CYCLES) * cycles;
  return { kind: 'saves', on: plan.on, saves, cycles, wear, weeks: q.weeks.length };
}

/**
 * A plan that fits the mean week to the last watt-hour runs dry in every week that takes more, in the dearest hour: of plans
 * for somewhat more load the one is taken that was cheapest over the weeks as they were.
 */
function steadiest(usual: WallHours, weeks: readonly WallHours[], station: WallStation): WallPlan {
  const plans = LOADED.map(by => bestWallHours({ ...usual, loadW: usual.loadW.map(w => by * w) }, station));
  const costs = plans.map(plan => weeks.reduce((sum, week) => sum + liveWeek(week, plan, station).cost, 0));
  return plans[costs.indexOf(Math.min(...costs))]!;
}

const scaled = ({ p10, p50, p90 }: Range, by: number): Range => ({ p10: by * p10, p50: by * p50, p90: by * p90 });

/** The mean week, days of equal prices alike: a timer that goes the same way on each of them can be set. */
export function usualWeek({
  perKWh,
  weeks,
  usualLoadW,
}: Pick<WallQuestion, 'perKWh' | 'weeks' | 'usualLoadW'>): WallHours {
  const dayKey = (day: number) => perKWh.slice(24 * day, 24 * day + 24).join();
  const mean = (of: (week: RecordedWeek) => readonly (number | null)[], otherwise: number) =>
    perKWh.map((_, h) => {
      const alike = [0, 1, 2, 3, 4, 5, 6].filter(day => dayKey(day) === dayKey(Math.floor(h / 24)));
      const seen = weeks.flatMap(week => alike.map(day => of(week)[24 * day + (h % 24)]).filter(w => w != null));
      return seen.length === 0 ? otherwise : seen.reduce((sum, w) => sum + w, 0) / seen.length;
    });
  return { perKWh, loadW: mean(week => week.loadW, usualLoadW), sunW: mean(week => week.sunW, 0) };
}

/** What was recorded, holes filled with the usual week; few weeks are told apart by hand. */
function livedWeeks({ weeks }: WallQuestion, usual: WallHours): WallHours[] {
  const filled = (seen: readonly (number | null)[], otherwise: readonly number[]) =>
    otherwise.map((w, h) => seen[h] ?? w);
  if (weeks.length >= FEW_WEEKS)
    return weeks.map(week => ({
      perKWh: usual.perKWh,
      loadW: filled(week.loadW, usual.loadW),
      sunW: filled(week.sunW, usual.sunW),
    }));
  return APART.map(by => ({ perKWh: usual.perKWh, loadW: usual.loadW.map(w => by * w), sunW: usual.sunW }));
}

/**
 * One week by a plan, hour by hour. Where the battery is down to what is kept, it is plugged in whatever the plan says.
 * What is left at the end above the start is worth the cheapest hour.
 */
export function liveWeek(week: WallHours, plan: WallPlan, station: WallStation): { cost: number; takenWh: number } {
  const { usableWh, wallW, outCost, ownW, inWorth, wearPerWh } = station;
  let content = plan.startWh;
  let cost = 0;
  let takenWh = 0;
  for (const [h, on] of plan.on.entries()) {
    const sunWh = inWorth * week.sunW[h]!;
    const taken = outCost * week.loadW[h]! + ownW - sunWh;
    if (!on && taken <= content) {
      content = Math.min(usableWh, content - taken);
      takenWh += Math.max(0, taken);
      continue;
    }
    const to = Math.min(usableWh, content + inWorth * wallW + sunWh);
    const boughtWh = Math.max(0, to - content - sunWh) / inWorth;
    cost += (week.perKWh[h]! * (week.loadW[h]! + ownW + boughtWh)) / 1000;
    content = to;
  }
  const leftWorth = ((content - plan.startWh) / inWorth / 1000) * Math.min(...week.perKWh);
  return { cost: cost + wearPerWh * takenWh - leftWorth, takenWh };
}
