/**
 * One more value of one counter: what it adds to its days, or bridges. Values that are doubted wait for the next one.
 */
import type { CivilDay } from '#energy/civil-day';
import type { CounterName } from '#kit';
import { type BridgeFound, type CounterEnd, type CountersTold, emptyCounted } from './counted.ts';
import { type CounterLimits, type Held, held, type Judged, judge, type StepCause, stepWith } from './counter.ts';
import { dayShares } from './day-shares.ts';

export interface Counter {
  held: Held;
  /** A value that cannot follow the held one, and why. */
  doubt: { held: Held; cause: StepCause } | null;
  /** The step before was compared: the next one goes on from it. */
  open: boolean;
}

/** Longer steps are not shared between two days, but told as between them (common practice, no source). */
const SHARED_WITHIN_MS = 15 * 60_000;
/** What one value of one counter is told with. */
export interface Teller {
  name: CounterName;
  told: CountersTold;
  limitMs: number;
  day(at: number): CivilDay;
}

/** Takes one more value of a counter that was told before. */
export function take(teller: Teller, counter: Counter, valueMilliWh: number, at: number, limits: CounterLimits): void {
  const judged = judge(counter.held, valueMilliWh, limits);
  if (judged.milliJ !== null || judged.cause === 'overrun') {
    counter.doubt = null;
    settle(teller, counter, judged, valueMilliWh, at);
    return;
  }
  const { doubt } = counter;
  const sinceDoubt = doubt === null ? null : judge(doubt.held, valueMilliWh, limits);
  if (doubt === null || sinceDoubt === null || sinceDoubt.milliJ === null) {
    const stepMilliWh = stepWith(counter.held.stepMilliWh, valueMilliWh);
    counter.doubt = { held: held(valueMilliWh, at, stepMilliWh), cause: judged.cause };
    return;
  }
  teller.told.bridges.push(bridge(teller.name, counter.held, doubt.held, { cause: doubt.cause, milliJ: null }));
  counter.held = doubt.held;
  counter.doubt = null;
  counter.open = false;
  settle(teller, counter, sinceDoubt, valueMilliWh, at);
}

const bridge = (quantity: CounterName, from: Held, to: Held, { cause, milliJ }: Judged): BridgeFound => ({
  quantity,
  fromAt: from.at,
  toAt: to.at,
  milliJ,
  cause,
  gapMs: Math.round(from.gapMs),
  fromMilliWh: from.valueMilliWh,
  toMilliWh: to.valueMilliWh,
  stepMilliWh: to.stepMilliWh,
});

/** Takes a value for good, with what was counted since the one before. */
function settle(teller: Teller, counter: Counter, judged: Judged, valueMilliWh: number, at: number): void {
  const { name, told, limitMs, day } = teller;
  const from = counter.held;
  const now = held(valueMilliWh, at, stepWith(from.stepMilliWh, valueMilliWh));
  if (valueMilliWh === from.valueMilliWh) now.unchangedMs = from.unchangedMs;
  counter.held = now;
  const isBetweenDays = from.sinceMs > SHARED_WITHIN_MS && day(from.at).date !== day(at).date;
  if (judged.milliJ === null || from.gapMs > limitMs || isBetweenDays) {
    told.bridges.push(bridge(name, from, now, judged));
    counter.open = false;
    tellEnd(teller, now);
    return;
  }
  const { compared } = from;
  const { days, share } = dayShares(from.at, at, day);
  const counted = share(judged.milliJ);
  const integrated = share(from.integratedMilliJ);
  const flowMs = share(Math.round(from.flowMs));
  for (const [i, civil] of days.entries())
    told.counted.push({
      ...emptyCounted(civil, endOf(name, now)),
      countedMilliJ: counted[i]!,
      ...(compared
        ? {
            comparedMilliJ: counted[i]!,
            integratedMilliJ: integrated[i]!,
            flowMs: flowMs[i]!,
            stretches: i === 0 && !counter.open ? 1 : 0,
            largestMilliJ: judged.milliJ,
            spreadWh2: i === days.length - 1 ? from.spreadWh2 : 0,
          }
        : {}),
    });
  counter.open = compared;
}

/** A day on which a counter was told, whatever it counted. */
export const tellEnd = ({ name, told, day }: Teller, now: Held): void =>
  void told.counted.push(emptyCounted(day(now.at), endOf(name, now)));

const endOf = (quantity: CounterName, now: Held): CounterEnd => ({
  quantity,
  lastMilliWh: now.valueMilliWh,
  lastAt: now.at,
  unchangedMs: Math.round(now.unchangedMs),
  stepMilliWh: now.stepMilliWh,
});
