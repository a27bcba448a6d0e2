/**
 * What a child process prints, passed on up to a ceiling of 64 KiB a minute; the rest is read and dropped, so that a
 * talkative program is neither stopped nor able to fill the log.
 */
import type { Readable } from 'node:stream';
import { type Bucket, fullBucket, refill } from '#kit';

const CEILING = { perS: 65_536 / 60, burst: 65_536 };

/** Listens to every stream of `streams` under one ceiling together. */
export function hearPrinted(
  streams: readonly (Readable | null)[],
  monoMs: () => number,
  tell: (text: string) => void,
): void {
  let bucket: Bucket = fullBucket(CEILING, monoMs());
  for (const stream of streams) {
    stream?.on('data', (chunk: Buffer) => {
      bucket = refill(bucket, CEILING, monoMs());
      const room = Math.min(chunk.length, Math.floor(bucket.tokens));
      if (room <= 0) return;
      bucket = { ...bucket, tokens: bucket.tokens - room };
      tell(chunk.toString('utf8', 0, room));
    });
  }
}
