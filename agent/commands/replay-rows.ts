/** The rows of a recording file as a replay takes them: plain or gzip CSV, its input told apart into sun and other. */
import type { ReplayRow } from '#energy/estimates/scoring/replay';
import type { InputSource, Reading } from '#kit';
import { solarPowerW, sourceOf } from '../derive/input-source.ts';
import { readRecordingFile } from './recording-file.ts';

/** From so many watts on a source is there. */
const FEEDS_W = 5;

export interface InputFacts {
  /** What the input is where a row does not tell; unknown is taken as sun by day. */
  source: InputSource;
  panelsRatedW: number | null;
  isDark(atMs: number): boolean;
}

/** @throws WattkeepError USAGE for a file that cannot be read, IMPORT_… for what is in it */
export async function replayRows(file: string, input: InputFacts): Promise<ReplayRow[]> {
  const rows: ReplayRow[] = [];
  for await (const batch of readRecordingFile(file, { station: 'recording', session: 'recording' }))
    for (const reading of batch) rows.push(rowOf(reading, input));
  return rows;
}

/** One reading as a replay takes it; what is bad counts as missing. */
export function rowOf(reading: Reading, input: InputFacts): ReplayRow {
  const { at, quantities, states, quality } = reading;
  const of = (value: number | null | undefined) => (quality === 'bad' ? null : (value ?? null));
  const inputW = of(quantities.inputPowerW);
  const said = states.inputSource !== undefined && states.inputSource !== 'unknown';
  const owner = input.source === 'unknown' ? 'sun' : input.source;
  const context = { owner, sunElevationDeg: !said && input.isDark(at) ? -90 : null, panelsRatedW: input.panelsRatedW };
  const solarW = inputW === null ? null : solarPowerW(reading, context);
  const source = sourceOf(reading, context);
  const onMains = states.onMains === true;
  return {
    at,
    outputW: of(quantities.outputPowerW),
    inputW,
    solarW,
    stateOfChargePct: of(quantities.stateOfChargePct),
    acOutletsOn: typeof states.acOutletsOn === 'boolean' ? states.acOutletsOn : null,
    charger: source === 'sun' ? 'unknown' : source,
    statedMin: of(quantities.statedMinutesToEmpty),
    onMains,
    held: onMains || (inputW ?? 0) - (solarW ?? 0) > FEEDS_W,
  };
}
