/**
 * The minutes of one solar day at a spot, as they were measured, and how they are kept in JSON: tenths of a watt, a
 * limited minute as −1 − tenths, a missing one as null.
 */
import { DAY_MINUTES } from './solar-day.ts';

export interface DayRecord {
  readonly day: number;
  /** Mean watts of each minute; NaN where none was measured. */
  readonly powerW: Float64Array;
  /** 1 where something took less than the panels could give. */
  readonly limited: Uint8Array;
  /** First and last minute with a measurement; first > last while there is none. */
  first: number;
  last: number;
}

export const emptyDay = (day: number): DayRecord => ({
  day,
  powerW: new Float64Array(DAY_MINUTES).fill(Number.NaN),
  limited: new Uint8Array(DAY_MINUTES),
  first: DAY_MINUTES,
  last: -1,
});

export function note(record: DayRecord, minute: number, powerW: number, limited: boolean): void {
  record.powerW[minute] = powerW;
  record.limited[minute] = limited ? 1 : 0;
  record.first = Math.min(record.first, minute);
  record.last = Math.max(record.last, minute);
}

export type PackedDay = [day: number, first: number, tenths: (number | null)[]];

export function packDay(record: DayRecord): PackedDay {
  const tenths: (number | null)[] = [];
  for (let k = record.first; k <= record.last; k++) {
    const watts = record.powerW[k]!;
    const rounded = Math.round(watts * 10);
    tenths.push(Number.isNaN(watts) ? null : record.limited[k] === 1 ? -1 - rounded : rounded);
  }
  return [record.day, record.first, tenths];
}

export function unpackDay([day, first, tenths]: PackedDay): DayRecord {
  const record = emptyDay(day);
  for (const [i, tenth] of tenths.entries()) {
    if (tenth !== null) note(record, first + i, (tenth < 0 ? -1 - tenth : tenth) / 10, tenth < 0);
  }
  return record;
}
