/**
 * After an I/O error nobody knows whether the batch of that moment reached the disk. Once the record is open again it
 * can be seen; a caller who then offers the same readings with newer ones behind them must not have them counted twice.
 * Pure: a larger batch less one that it begins with.
 */
import type { Batch, DayDelta } from '#messages';

const sameReading = (a: Batch['readings'][number] | undefined, b: Batch['readings'][number]): boolean =>
  a !== undefined && a.station === b.station && a.session === b.session && a.seq === b.seq;

const dayKey = (day: DayDelta): string => `${day.station} ${day.date} ${day.zone}`;

/** Sums are taken off; least and greatest values stay, since taking them twice changes nothing. */
function lessDay(day: DayDelta, counted: DayDelta | undefined): DayDelta {
  if (counted === undefined) return day;
  return {
    ...day,
    solarMilliJ: day.solarMilliJ - counted.solarMilliJ,
    inputMilliJ: day.inputMilliJ - counted.inputMilliJ,
    outputMilliJ: day.outputMilliJ - counted.outputMilliJ,
    coveredMs: day.coveredMs - counted.coveredMs,
    gapMs: day.gapMs - counted.gapMs,
  };
}

/** What is left of `batch` once `survived` is recorded; `batch` itself where it does not begin with it. */
export function withoutSurvivors(batch: Batch, survived: Batch): Batch {
  const count = survived.readings.length;
  if (!survived.readings.every((reading, index) => sameReading(batch.readings[index], reading))) return batch;
  const readings = batch.readings.slice(count);
  const fresh = new Set(readings.map(reading => reading.station));
  const counted = new Map(survived.days.map(day => [dayKey(day), day]));
  const days = batch.days.filter(day => fresh.has(day.station)).map(day => lessDay(day, counted.get(dayKey(day))));
  return { ...batch, readings, days };
}
