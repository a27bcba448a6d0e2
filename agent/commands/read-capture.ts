/** Reads a capture for the verbs that take one. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import { type Capture, parseCapture } from '#kit';
import { CAPTURE_FIX } from './adapter-play-words.ts';
import { usage } from './numbers.ts';

const MAX_CAPTURE_BYTES = 16_000_000;

/** @throws WattkeepError USAGE */
export function readCapture(file: string): Capture {
  if (!existsSync(file)) throw usage(`There is no capture ${file}.`, CAPTURE_FIX);
  if (statSync(file).size > MAX_CAPTURE_BYTES) {
    throw usage(`${file} is larger than ${MAX_CAPTURE_BYTES / 1e6} MB.`, 'Cut it: each line stands by itself.');
  }
  const capture = parseCapture(basename(file), readFileSync(file, 'utf8'));
  if ('fault' in capture) throw usage(`${capture.fault}.`, CAPTURE_FIX);
  return capture;
}
