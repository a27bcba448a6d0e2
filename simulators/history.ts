/**
 * The shed's past as a recording: RFC 4180 (comma, CRLF, header first), one row a minute. Powers are the means of the
 * minute that ends at the row's time, so that the rows add up to the plant's own ledger; the rest is as it stood then.
 */
import type { QuantityName } from '#kit/quantities';
import { civilDays, isoWithOffset } from './plant/civil-days.ts';
import type { LedgerColumn } from './plant/ledger.ts';
import type { Plant } from './plant/station.ts';

export const HISTORY_COLUMNS = [
  'inputPowerW',
  'outputPowerW',
  'stateOfChargePct',
  'solarPowerW',
  'acOutputPowerW',
  'dcOutputPowerW',
  'batteryVoltageV',
  'batteryTempC',
] as const satisfies readonly QuantityName[];

const MINUTE_MS = 60_000;
/** Steps of the past, ms: short enough for a kettle, long enough for three weeks in a moment. */
export const PAST_GRID_MS = 20_000;

/** Takes the plant to an instant of its past. */
export type Live = (plant: Plant, ms: number) => void;

const lived: Live = (plant, ms) => plant.step(ms, PAST_GRID_MS);

/** Pieces of the file, in order, each of whole rows. Rows lie on whole minutes in (fromMs, untilMs]. */
export function* historyCsv(
  plant: Plant,
  zone: string,
  fromMs: number,
  untilMs: number,
  live: Live = lived,
): Generator<string> {
  const { offsetMs } = civilDays(zone);
  yield `time,${HISTORY_COLUMNS.join(',')}\r\n`;
  let ms = Math.floor(fromMs / MINUTE_MS) * MINUTE_MS;
  live(plant, ms);
  const mean = minuteMeans(plant);
  let rows = '';
  for (ms += MINUTE_MS; ms <= untilMs; ms += MINUTE_MS) {
    live(plant, ms);
    const { shownPct, batteryV, batteryC } = plant.gauges();
    const [inW, outW, solarW, acW, dcW] = mean();
    const volts = Math.round(batteryV * 100) / 100;
    const temp = Math.round(batteryC * 10) / 10;
    rows += `${isoWithOffset(ms, offsetMs(ms))},${inW},${outW},${shownPct},${solarW},${acW},${dcW},${volts},${temp}\r\n`;
    if (rows.length > 200_000) {
      yield rows;
      rows = '';
    }
  }
  yield rows;
}

const MEANS = ['inputWh', 'outputWh', 'solarWh', 'acOutputWh', 'dcOutputWh'] as const satisfies readonly LedgerColumn[];

/** Mean powers since the last call, W to a tenth, in the order of MEANS. */
function minuteMeans(plant: Plant): () => number[] {
  const totals = () => MEANS.map(column => plant.ledger.totalOf(column));
  let before = totals();
  return () => {
    const now = totals();
    // Wh a minute times 60 is W.
    const means = now.map((wh, k) => Math.round((wh - before[k]!) * 600) / 10);
    before = now;
    return means;
  };
}
