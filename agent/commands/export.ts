/**
 * `wattkeep export [FILE]`: a station's readings as a recording, in a file whose name tells the format, or as CSV on
 * standard output. A file appears under its name once it is whole.
 */
import { createWriteStream, existsSync, renameSync, rmSync } from 'node:fs';
import { PassThrough, Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { createGzip } from 'node:zlib';
import { WattkeepError } from '#kit';
import { isZone } from '#messages';
import { parseArguments } from '../settings/index.ts';
import type { Invocation } from './invocation.ts';
import { openPast, stationOf } from './open-past.ts';
import { type RecordingFormat, recordingPieces } from './recording-pieces.ts';
import { machineZone } from './surroundings.ts';
import { unwritten } from './unwritten.ts';
import { EXPORT_HELP, exported, simulatedNote } from './words.ts';

interface FileKind {
  readonly ending: string;
  readonly format: RecordingFormat;
  readonly gzip: boolean;
}

const KINDS: readonly FileKind[] = [
  { ending: '.csv', format: 'csv', gzip: false },
  { ending: '.csv.gz', format: 'csv', gzip: true },
  { ending: '.parquet', format: 'parquet', gzip: false },
];

export async function exportRecording({ argv, version }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['data', 'station', 'from', 'to', 'zone'],
    switches: ['help'],
  });
  if (switches.has('help')) {
    process.stdout.write(EXPORT_HELP);
    return 0;
  }
  const option = (name: string) => values.get(name)?.at(-1);
  const [file] = words;
  const kind = kindOf(file);
  const { record, demo } = openPast(option('data'));
  try {
    const wanted = {
      format: kind.format,
      station: stationOf(record, option('station')),
      fromMs: instantOf('from', option('from')) ?? 0,
      toMs: instantOf('to', option('to')) ?? Number.MAX_SAFE_INTEGER,
      zone: zoneOf(option('zone')),
      version,
    };
    if (demo) console.error(simulatedNote);
    const pieces = given(recordingPieces(record, wanted, demo));
    if (file === undefined)
      await pipeline(Readable.from(pieces, { objectMode: false }), process.stdout, { end: false });
    else console.log(exported(file, await writeWhole(file, pieces, kind.gzip)));
  } finally {
    record.close();
  }
  return 0;
}

/** @throws WattkeepError USAGE for a name that tells no format, or a file that is there already */
function kindOf(file: string | undefined): FileKind {
  if (file === undefined) return KINDS[0]!;
  const kind = KINDS.find(({ ending }) => file.endsWith(ending));
  const endings = KINDS.map(({ ending }) => ending).join(', ');
  if (kind === undefined)
    throw new WattkeepError('USAGE', `${file} tells no format.`, `Let its name end in ${endings}.`);
  if (existsSync(file))
    throw new WattkeepError('USAGE', `${file} is there already.`, 'Name another file, or remove it.');
  return kind;
}

/** Throws WattkeepError USAGE for a zone that nobody knows. */
function zoneOf(told: string | undefined): string {
  if (told === undefined) return machineZone();
  if (isZone(told)) return told;
  throw new WattkeepError(
    'USAGE',
    `--zone is ${told.slice(0, 40)}, which is not known.`,
    'Give an IANA time zone such as Europe/Lisbon.',
  );
}

/** UTC epoch ms, or null where it was not given. */
function instantOf(name: string, told: string | undefined): number | null {
  if (told === undefined) return null;
  const at = Date.parse(told);
  if (!Number.isNaN(at)) return at;
  throw new WattkeepError('USAGE', `--${name} is ${told.slice(0, 40)}.`, 'Give a date or an ISO 8601 instant.');
}

async function* given(pieces: AsyncIterable<Uint8Array | null>): AsyncGenerator<Uint8Array> {
  for await (const piece of pieces) if (piece !== null) yield piece;
}

/** @returns bytes written */
async function writeWhole(file: string, pieces: AsyncIterable<Uint8Array>, gzip: boolean): Promise<number> {
  const partial = `${file}.partial`;
  const out = createWriteStream(partial);
  try {
    await pipeline(Readable.from(pieces, { objectMode: false }), gzip ? createGzip() : new PassThrough(), out);
  } catch (error) {
    if (existsSync(partial)) rmSync(partial);
    throw unwritten(error, file);
  }
  renameSync(partial, file);
  return out.bytesWritten;
}
