/** A recording's file in batches, plain or in gzip, however long it is. */
import { closeSync, createReadStream, openSync, readSync } from 'node:fs';
import { pipeline } from 'node:stream';
import { createGunzip } from 'node:zlib';
import { WattkeepError } from '#kit';
import type { KeptReading } from '#messages';
import { type RecordingCounts, type RecordingIdentity, readRecording } from '../exchange/read-recording.ts';

/** @throws WattkeepError USAGE for a file that cannot be read, IMPORT_… for what is in it */
export async function* readRecordingFile(
  file: string,
  identity: RecordingIdentity,
): AsyncGenerator<KeptReading[], RecordingCounts> {
  try {
    // Looked at first: a stream of a file that is not there would fail later, where nobody listens.
    const gzip = isGzip(file);
    const bytes = createReadStream(file);
    const source = gzip ? pipeline(bytes, createGunzip(), () => undefined) : bytes;
    return yield* readRecording(source, identity);
  } catch (cause) {
    if (cause instanceof WattkeepError) throw cause;
    const why = cause instanceof Error ? cause.message : String(cause);
    throw new WattkeepError('USAGE', `${file} cannot be read (${why}).`, 'Name a recording: CSV, or CSV in gzip.', {
      cause,
    });
  }
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
