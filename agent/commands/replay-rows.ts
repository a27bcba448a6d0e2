/** The rows of a recording file as a replay takes them: plain or gzip CSV, its input told apart into sun and other. */
import { closeSync, createReadStream, openSync, readSync } from 'node:fs';
import { pipeline } from 'node:stream';
import { createGunzip } from 'node:zlib';
import type { ReplayRow } from '#energy/estimates/scoring/replay';
import { type InputSource, type Reading, WattkeepError } from '#kit';
import { solarPowerW, sourceOf } from '../derive/input-source.ts';
import { readRecording } from '../exchange/read-recording.ts';

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
  try {
    // Looked at first: a stream of a file that is not there would fail later, where nobody listens.
    const gzip = isGzip(file);
    const bytes = createReadStream(file);
    const source = gzip ? pipeline(bytes, createGunzip(), () => undefined) : bytes;
    for await (const batch of readRecording(source, { station: 'recording', session: 'recording' }))
      for (const reading of batch) rows.push(rowOf(reading, input));
  } catch (cause) {
    if (cause instanceof WattkeepError) throw cause;
    throw new WattkeepError('USAGE', `${file} cannot be read.`, 'Name a recording: CSV, or CSV in gzip.', { cause });
  }
  return rows;
}

/** By what it begins with, whatever it is called. */
function isGzip(file: string): boolean {
  const descriptor = openSync(file, 'r');
  try {
    const head = new Uint8Array(2);
    return readSync(descriptor, head, 0, 2, 0) === 2 && head[0] === 0x1f && head[1] === 0x8b;
  } finally {
    closeSync(descriptor);
  }
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
