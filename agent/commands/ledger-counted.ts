/**
 * What a station's own counters say of a stretch of days, for the Ledger: beside what was integrated, never added to it.
 * A block over a gap within a day is that day's; one between two days is of the range alone. mJ in, Wh and ISO out.
 */
import { countedApart } from '#energy/counted-apart';
import { MILLIJ_PER_WH } from '#energy/integrate';
import type { CounterName } from '#kit';
import type { Bridge, BridgedBlock, Counted, CountedDay, CounterApart, CounterSum, RecordQueries } from '#messages';
import { toInstant } from '../server/encode.ts';

export interface CountedOver {
  /** What they say of one day, or of its part in one zone; null where none was told. */
  ofDay(day: { date: string; zone: string; startMs: number; endMs: number }): Counted | null;
  readonly bridges: Bridge[];
  readonly counters: CounterSum[];
}

/** Wh to the thousandth: all that a counter of a tenth of a watt-hour and whole millijoules can say. */
const wh = (milliJ: number): number => Math.round(milliJ / (MILLIJ_PER_WH / 1000)) / 1000;
const round = (value: number, perUnit: number): number => Math.round(value * perUnit) / perUnit;
const sum = <T>(all: readonly T[], of: (one: T) => number): number => all.reduce((total, one) => total + of(one), 0);
const known = (blocks: readonly BridgedBlock[]): number => sum(blocks, ({ milliJ }) => milliJ ?? 0);

function apartOf(quantity: CounterName, days: readonly CountedDay[]): CounterApart | null {
  const apart = countedApart(days);
  return (
    apart && {
      quantity,
      countedWh: round(apart.countedWh, 1000),
      integratedWh: round(apart.integratedWh, 1000),
      differenceWh: round(apart.differenceWh, 1000),
      differencePct: apart.differencePct === null ? null : round(apart.differencePct, 100),
      allowedWh: round(apart.allowedWh, 1000),
      beyond: apart.beyond,
    }
  );
}

const bridgeOf = ({ fromAt, toAt, quantity, milliJ, cause, gapMs }: BridgedBlock): Bridge => ({
  fromAt: toInstant(fromAt),
  toAt: toInstant(toAt),
  quantity,
  energyWh: milliJ === null ? null : wh(milliJ),
  cause,
  gapMs,
});

/** @param from,to civil dates, both included @param fromMs,toMs the instants where they begin and end */
export function countedOver(
  record: Pick<RecordQueries, 'counted' | 'bridges'>,
  station: string,
  { from, to, fromMs, toMs }: { from: string; to: string; fromMs: number; toMs: number },
): CountedOver {
  const days = record.counted(station, from, to);
  const blocks = record.bridges(station, fromMs, toMs);
  const byDay = new Map<string, CountedDay[]>();
  for (const day of days) {
    const key = `${day.date} ${day.zone}`;
    byDay.set(key, [...(byDay.get(key) ?? []), day]);
  }
  const names = [...new Set([...days, ...blocks].map(({ quantity }) => quantity))].sort();
  return {
    ofDay({ date, zone, startMs, endMs }) {
      const told = byDay.get(`${date} ${zone}`) ?? [];
      const within = blocks.filter(block => block.fromAt >= startMs && block.toAt <= endMs);
      if (told.length + within.length === 0) return null;
      const of = (name: CounterName): number | null => {
        const [counted, bridged] = [told, within].map(all => all.filter(({ quantity }) => quantity === name));
        if (counted!.length + bridged!.length === 0) return null;
        return wh(sum(counted as CountedDay[], day => day.countedMilliJ) + known(bridged as BridgedBlock[]));
      };
      return {
        solarWh: of('solarEnergyWh'),
        inputWh: of('inputEnergyWh'),
        outputWh: of('outputEnergyWh'),
        chargerWh: of('chargerEnergyWh'),
        meterWh: of('meterEnergyWh'),
        bridgedSolarWh: wh(known(within.filter(({ quantity }) => quantity === 'solarEnergyWh'))),
        apart: told.flatMap(day => apartOf(day.quantity, [day]) ?? []),
      };
    },
    bridges: blocks.map(bridgeOf),
    counters: names.map(quantity => {
      const told = days.filter(day => day.quantity === quantity);
      const bridging = blocks.filter(block => block.quantity === quantity);
      // What reaches out of the range is told with it and is no part of its sum.
      const bridged = known(bridging.filter(block => block.fromAt >= fromMs && block.toAt <= toMs));
      return {
        quantity,
        countedWh: wh(sum(told, day => day.countedMilliJ) + bridged),
        bridgedWh: wh(bridged),
        unknown: bridging.filter(({ milliJ }) => milliJ === null).length,
        apart: apartOf(quantity, told),
      };
    }),
  };
}
