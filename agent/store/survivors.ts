/**
 * After an I/O error nobody knows whether the batch of that moment reached the disk. Once the record is open again it
 * can be seen; a caller who then offers the same readings with newer ones behind them must not have them counted twice.
 * Pure: a larger batch less one that it begins with.
 */
import type { Batch, CountedDelta, DayDelta } from '#messages';

const sameReading = (a: Batch['readings'][number] | undefined, b: Batch['readings'][number]): boolean =>
  a !== undefined && a.station === b.station && a.session === b.session && a.seq === b.seq;

const dayKeyOf = (day: { station: string; date: string; zone: string }): string =>
  `${day.station} ${day.date} ${day.zone}`;

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

const countedKey = (day: CountedDelta): string => `${dayKeyOf(day)} ${day.quantity}`;

function lessCounted(day: CountedDelta, counted: CountedDelta | undefined): CountedDelta {
  if (counted === undefined) return day;
  return {
    ...day,
    countedMilliJ: day.countedMilliJ - counted.countedMilliJ,
    comparedMilliJ: day.comparedMilliJ - counted.comparedMilliJ,
    integratedMilliJ: day.integratedMilliJ - counted.integratedMilliJ,
    flowMs: day.flowMs - counted.flowMs,
    stretches: day.stretches - counted.stretches,
    spreadWh2: day.spreadWh2 - counted.spreadWh2,
  };
}

/** What is left of `batch` once `survived` is recorded; `batch` itself where it does not begin with it. */
export function withoutSurvivors(batch: Batch, survived: Batch): Batch {
  const count = survived.readings.length;
  if (!survived.readings.every((reading, index) => sameReading(batch.readings[index], reading))) return batch;
  const readings = batch.readings.slice(count);
  const fresh = new Set(readings.map(reading => reading.station));
  const counted = new Map(survived.days.map(day => [dayKeyOf(day), day]));
  const days = batch.days.filter(day => fresh.has(day.station)).map(day => lessDay(day, counted.get(dayKeyOf(day))));
  const said = new Map((survived.counted ?? []).map(day => [countedKey(day), day]));
  const isFresh = ({ station }: { station: string }): boolean => fresh.has(station);
  return {
    ...batch,
    readings,
    days,
    ...(batch.counted && {
      counted: batch.counted.filter(isFresh).map(day => lessCounted(day, said.get(countedKey(day)))),
    }),
    ...(batch.bridges && { bridges: batch.bridges.filter(isFresh) }),
  };
}
