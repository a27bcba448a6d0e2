/**
 * Sessions: a new one knows nothing of the last, two at once do not disturb each other, and readings come as often as
 * the manifest says.
 */

import type { Capture } from '../capture.ts';
import { checkPart } from '../check-reading.ts';
import { isRejection } from '../reading.ts';
import type { PlaceStream } from './material.ts';
import { decodeOne, frameAll } from './play.ts';
import { failed, passed, pending, type Subject } from './subject.ts';
import type { Check } from './terms.ts';

export function checkReconnect(subject: Subject): Check {
  const name = 'reconnect';
  const { adapter, material } = subject;
  const heard = (stream: PlaceStream): string => {
    const session = adapter.open();
    const { frames, told } = frameAll(session, stream);
    return JSON.stringify([told, frames.map(frame => decodeOne(session, frame, stream.place))]);
  };
  for (const stream of material.streams) {
    const before = heard(stream);
    const [first] = stream.bursts;
    if (first === undefined) continue;
    // A link that broke in the middle of a frame.
    const old = adapter.open().createFramer(stream.place);
    old.push(
      first.bytes.slice(0, Math.ceil(first.bytes.length / 2)),
      () => undefined,
      () => undefined,
    );
    if (heard(stream) !== before) return failed(name, `${stream.name}: a new session remembers the last one`);
    const [a, b] = [adapter.open(), adapter.open()].map(session => session.createFramer(stream.place));
    const frames: string[][] = [[], []];
    for (const byte of first.bytes) {
      for (const [i, framer] of [a, b].entries()) {
        framer?.push(
          Uint8Array.of(byte),
          frame => void frames[i]!.push(frame.join()),
          () => undefined,
        );
      }
    }
    if (frames[0]!.join(' ') !== frames[1]!.join(' ')) return failed(name, 'two sessions at once disturb each other');
  }
  return passed(name, 'each session begins afresh');
}

/** When each reading of a capture came; a silence is one where the capture has it. */
function readingTimes({ adapter }: Subject, { chunks }: Capture): number[] {
  const session = adapter.open();
  const heard = chunks.filter(({ way }) => way === 'in');
  const times: number[] = [];
  for (const place of new Set(heard.map(chunk => chunk.place))) {
    const framer = session.createFramer(place);
    const { idleMs } = framer;
    const mine = heard.filter(chunk => chunk.place === place);
    for (const [i, { bytes, atMs }] of mine.entries()) {
      const onFrame = (frame: Uint8Array): void => {
        if (!isRejection(checkPart(decodeOne(session, frame.slice(), place)))) times.push(atMs);
      };
      framer.push(bytes.slice(), onFrame, () => undefined);
      const nextMs = mine[i + 1]?.atMs ?? Number.POSITIVE_INFINITY;
      if (idleMs !== undefined && nextMs - atMs >= idleMs) framer.idle?.(onFrame, () => undefined);
    }
  }
  return times.sort((a, b) => a - b);
}

const MIN_READINGS = 5;

export function checkRate(subject: Subject): Check {
  const name = 'rate';
  const { intervalMs, maxReadingsPerS, onChangeOnly } = subject.adapter.manifest;
  if (onChangeOnly !== true && (maxReadingsPerS * intervalMs) / 1000 < 1) {
    return failed(name, `intervalMs ${intervalMs} is faster than maxReadingsPerS ${maxReadingsPerS} allows`);
  }
  if (subject.talks) return passed(name, 'see talk');
  const times = subject.captures
    .map(capture => readingTimes(subject, capture))
    .filter(all => all.length >= MIN_READINGS);
  if (times.length === 0) {
    return pending(name, `needs a capture with ${MIN_READINGS} readings: record one with \`wattkeep adapter capture\``);
  }
  for (const all of times) {
    const spanMs = all.at(-1)! - all[0]!;
    const perS = ((all.length - 1) / Math.max(1, spanMs)) * 1000;
    if (perS > maxReadingsPerS) {
      return failed(name, `${perS.toFixed(1)} readings a second arrive; maxReadingsPerS is ${maxReadingsPerS}`);
    }
    if (onChangeOnly !== true && 1000 / perS > 3 * intervalMs) {
      return failed(
        name,
        `a reading every ${Math.round(1000 / perS)} ms; intervalMs says ${intervalMs}: it would often be stale`,
      );
    }
  }
  return passed(name, `readings come about every ${intervalMs} ms, as the manifest says`);
}
