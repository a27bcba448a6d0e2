/**
 * A stretch of the ledger in two questions: the days that are over, which the agent keeps worked out, and the day that
 * runs. Put together they are what one question for all of it would have brought; counters may be allowed to be a little
 * further apart, since each part is judged by its own steps.
 */
import { shiftDate } from '#energy/civil-day';
import type { Bridge, CounterApart, CounterSum, LedgerAnswer } from '#messages';

type Stretch = readonly [from: string, to: string];

/** Fewer days are asked in one go: they are worked out about as fast as one. */
const LEAST_DAYS = 7;

/** What to ask, first what is over. Civil dates, both included. */
export function stretchesOf(from: string, to: string, today: string): [Stretch] | [Stretch, Stretch] {
  const last = shiftDate(today, -1);
  if (to !== today || shiftDate(from, LEAST_DAYS) > last) return [[from, to]];
  return [
    [from, last],
    [today, today],
  ];
}

/** @param over the days that are over @param running what was asked of the day after them */
export function joined(over: LedgerAnswer, running: LedgerAnswer): LedgerAnswer {
  const known = new Set([...over.days, ...over.missing].map(({ date }) => date));
  const added = running.days.flatMap((day, i) => (known.has(day.date) ? [] : [{ day, row: running.carpet.rows[i]! }]));
  return {
    ...running,
    days: [...over.days, ...added.map(({ day }) => day)],
    missing: [...over.missing, ...running.missing.filter(({ date }) => !known.has(date))],
    carpet: { stepMin: over.carpet.stepMin, rows: [...over.carpet.rows, ...added.map(({ row }) => row)] },
    spans: united(over.spans, running.spans, ({ reason, fromAt }) => `${fromAt} ${reason}`),
    bridges: united(over.bridges, running.bridges, keyOf),
    counters: countersOf(over, running),
    money: running.money === null ? null : { ...running.money, before: over.money?.before ?? null },
  };
}

const keyOf = ({ quantity, fromAt }: Bridge): string => `${fromAt} ${quantity}`;

/** Of what both tell, the later word. In order of time. */
function united<T>(over: readonly T[], running: readonly T[], key: (one: T) => string): T[] {
  const all = new Map([...over, ...running].map(one => [key(one), one]));
  return [...all].toSorted(([a], [b]) => (a < b ? -1 : 1)).map(([, one]) => one);
}

const milli = (value: number): number => Math.round(value * 1000) / 1000;

function countersOf(over: LedgerAnswer, running: LedgerAnswer): CounterSum[] {
  const [before, after] = [over.counters ?? [], running.counters ?? []];
  const names = [...new Set([...before, ...after].map(({ quantity }) => quantity))].sort();
  // Over midnight: no part of either sum.
  const told = new Set(over.bridges.map(keyOf));
  const across = running.bridges.filter(bridge => told.has(keyOf(bridge)));
  return names.map(quantity => {
    const [a, b] = [before, after].map(all => all.find(one => one.quantity === quantity) ?? NOTHING);
    const between = across.filter(bridge => bridge.quantity === quantity);
    const bridged = between.reduce((sum, { energyWh }) => sum + (energyWh ?? 0), 0);
    return {
      quantity,
      countedWh: milli(a!.countedWh + b!.countedWh + bridged),
      bridgedWh: milli(a!.bridgedWh + b!.bridgedWh + bridged),
      // Told by both.
      unknown: a!.unknown + b!.unknown - between.filter(({ energyWh }) => energyWh === null).length,
      apart: apartOf(a!.apart, b!.apart),
    };
  });
}

const NOTHING = { countedWh: 0, bridgedWh: 0, unknown: 0, apart: null };

function apartOf(a: CounterApart | null, b: CounterApart | null): CounterApart | null {
  if (a === null || b === null) return a ?? b;
  const [countedWh, integratedWh] = [milli(a.countedWh + b.countedWh), milli(a.integratedWh + b.integratedWh)];
  const differenceWh = milli(countedWh - integratedWh);
  const allowedWh = milli(a.allowedWh + b.allowedWh);
  return {
    quantity: a.quantity,
    countedWh,
    integratedWh,
    differenceWh,
    differencePct: integratedWh === 0 ? null : Math.round((10_000 * differenceWh) / integratedWh) / 100,
    allowedWh,
    beyond: Math.abs(differenceWh) > allowedWh,
  };
}
