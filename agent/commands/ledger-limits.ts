/**
 * What a station itself said to hold its input back, day by day. Readings are dear to open: only a station that says so is
 * asked, and only of the hours in which panels can give something worth holding back.
 */
import type { ClearDay } from '#energy/ledger/clear-day';
import type { RecordQueries } from '#messages';

const MINUTE_MS = 60_000;
/** Of the day's best under a clear sky. */
const WORTH_SHARE = 0.1;

/** By the codes of `RecordQueries.limits`; null where it did not say, or the day's clear sky is not known. */
export type LimitsOn = (startMs: number, clear: ClearDay | null) => Uint8Array | null;

export function limitsOf(record: Pick<RecordQueries, 'limits' | 'latest'>, station: string): LimitsOn {
  if (record.latest(station)?.states.inputLimitedBy === undefined) return () => null;
  // A day is asked about twice: for what shades the spot, and for itself.
  const known = new Map<number, Uint8Array | null>();
  return (startMs, clear) => {
    if (clear === null) return null;
    let limits = known.get(startMs);
    if (limits === undefined) {
      limits = askedOf(record, station, startMs, clear.powerW);
      known.set(startMs, limits);
    }
    return limits;
  };
}

function askedOf(record: Pick<RecordQueries, 'limits'>, station: string, startMs: number, clearW: Float64Array) {
  const worthW = WORTH_SHARE * clearW.reduce((best, watts) => Math.max(best, watts), 0);
  const from = clearW.findIndex(watts => watts > worthW);
  if (from < 0) return null;
  const count = clearW.findLastIndex(watts => watts > worthW) + 1 - from;
  const told = record.limits(station, startMs + from * MINUTE_MS, count);
  if (told === null) return null;
  const limits = new Uint8Array(clearW.length);
  limits.set(told, from);
  // At both ends of the day it is as it was beside them.
  limits.fill(told[0]!, 0, from);
  limits.fill(told.at(-1)!, from + count);
  return limits;
}
