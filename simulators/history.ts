/**
 * The shed's past as a recording: RFC 4180 (comma, CRLF, header first), one row a minute. Powers are the means of the
 * minute that ends at the row's time, so that the rows add up to the plant's own ledger; the rest is as it stood then.
 */
import type { QuantityName } from '#kit/quantities';
import { civilDays, isoWithOffset } from './plant/civil-days.ts';
import type { Energies } from './plant/ledger.ts';
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
export const PAST_GRID_MS = 15_000;

const MEANS: Partial<Record<QuantityName, keyof Energies>> = {
  inputPowerW: 'inputWh',
  outputPowerW: 'outputWh',
  solarPowerW: 'solarWh',
  acOutputPowerW: 'acOutputWh',
  dcOutputPowerW: 'dcOutputWh',
};

/** Pieces of the file, in order, each of whole rows. Rows lie on whole minutes in (fromMs, untilMs]. */
export function* historyCsv(plant: Plant, zone: string, fromMs: number, untilMs: number): Generator<string> {
  const { offsetMs } = civilDays(zone);
  yield `time,${HISTORY_COLUMNS.join(',')}\r\n`;
  let ms = Math.floor(fromMs / MINUTE_MS) * MINUTE_MS;
  plant.step(ms, PAST_GRID_MS);
  let before = plant.ledger.total();
  let rows = '';
  for (ms += MINUTE_MS; ms <= untilMs; ms += MINUTE_MS) {
    plant.step(ms, PAST_GRID_MS);
    const now = plant.ledger.total();
    const { quantities } = plant.sample();
    rows += isoWithOffset(ms, offsetMs(ms));
    for (const name of HISTORY_COLUMNS) {
      const energy = MEANS[name];
      const value = energy === undefined ? quantities[name] : Math.round((now[energy] - before[energy]) * 600) / 10;
      rows += `,${value ?? ''}`;
    }
    rows += '\r\n';
    before = now;
    if (rows.length > 200_000) {
      yield rows;
      rows = '';
    }
  }
  yield rows;
}
