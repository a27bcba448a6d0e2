/**
 * Decode: what samples promise, purity (the same frame, the same answer; no clock, no chance; nothing kept, nothing
 * changed), values within their ranges, and no quantity that the manifest does not name.
 */
import { checkPart } from '../check-reading.ts';
import { complete } from '../complete.ts';
import { type QuantityKey, quantityRow } from '../quantities.ts';
import { type DecodedReading, isRejection } from '../reading.ts';
import { type Answered, decodeOne, frameAll } from './play.ts';
import { failed, NEEDS_BYTES, passed, pending, type Subject } from './subject.ts';
import type { Check, Sample } from './terms.ts';
import { watched } from './watched.ts';

const near = (a: number | null | undefined, b: number | null): boolean =>
  typeof a === 'number' && typeof b === 'number' ? Math.abs(a - b) <= 1e-9 * Math.max(1, Math.abs(b)) : a === b;

/** The first promise of a sample that the readings do not keep, in words, or null. */
export function broken({ name, expects = {} }: Sample, readings: readonly DecodedReading[]): string | null {
  for (const [key, wanted] of Object.entries(expects) as [QuantityKey, number | null][]) {
    const got = readings.map(({ quantities }) => quantities[key]);
    if (!got.some(value => near(value, wanted))) {
      return `sample "${name}": ${key} is ${got.at(-1) ?? 'missing'}, ${wanted} expected`;
    }
  }
  return null;
}

/** What the agent makes of an answer. */
export function taken(answer: Answered): DecodedReading | null {
  const checked = checkPart(answer);
  return isRejection(checked) ? null : complete(checked);
}

function sampleFails({ adapter, material }: Subject, sample: Sample): string | null {
  const stream = material.streams.find(one => one.sample === sample);
  if (stream === undefined) return null;
  const session = adapter.open();
  const { frames, causes } = frameAll(session, stream);
  const answers = frames.map(frame => decodeOne(session, frame, stream.place));
  const readings = answers.flatMap(answer => taken(answer) ?? []);
  const rejections = answers.map(checkPart).filter(isRejection);
  const seen = [...causes, ...rejections.map(({ rejected }) => rejected)];
  const { name, rejected } = sample;
  if (rejected !== undefined) {
    return seen.includes(rejected) ? null : `sample "${name}": not rejected as ${rejected} (${seen.join() || 'taken'})`;
  }
  if (readings.length > 0) return broken(sample, readings);
  const why = rejections[0] === undefined ? seen.join() || 'no frame' : `${seen.join()}: ${rejections[0].detail}`;
  return `sample "${name}" gives no reading (${why})`;
}

/** Samples that come unasked; those of a talk are checked with it. */
export function checkSamples(subject: Subject): Check {
  const name = 'samples';
  const { talks, material } = subject;
  const mine = material.samples.filter(sample => !talks || sample.rejected !== undefined);
  if (mine.length === 0 && talks) return passed(name, 'see talk');
  if (mine.length === 0) {
    return subject.captures.length > 0 ? passed(name, 'none, but captures') : pending(name, NEEDS_BYTES);
  }
  for (const sample of mine) {
    const fault = sampleFails(subject, sample);
    if (fault !== null) return failed(name, fault);
  }
  return passed(name, `${mine.length} as their author says`);
}

/** Each capture gives readings; what was rejected on the way is told. */
export function checkCaptures({ adapter, material, captures, talks }: Subject): Check {
  const name = 'captures';
  if (talks) return passed(name, 'see talk');
  const words = captures.map(capture => {
    const tally = new Map<string, number>();
    for (const stream of material.streams.filter(one => one.name === capture.name)) {
      const session = adapter.open();
      const { frames, causes } = frameAll(session, stream);
      const answers = frames.map(frame => checkPart(decodeOne(session, frame, stream.place)));
      const kinds = [...causes, ...answers.map(answer => (isRejection(answer) ? answer.rejected : 'readings'))];
      for (const kind of kinds) tally.set(kind, (tally.get(kind) ?? 0) + 1);
    }
    const list = [...tally].sort(([, a], [, b]) => b - a).map(([kind, count]) => `${count} ${kind}`);
    return { good: tally.has('readings'), words: `${capture.name}: ${list.join(', ') || 'no frame'}` };
  });
  const bad = words.find(({ good }) => !good);
  return bad === undefined ? passed(name, words.map(one => one.words).join('; ')) : failed(name, bad.words);
}

const textOf = (answer: Answered): string => JSON.stringify(answer) ?? 'nothing';

export function checkPurity({ adapter, corpus, chance }: Subject): Check {
  const name = 'purity';
  const draw = chance(name);
  const session = adapter.open();
  const used = new Set<string>();
  for (const { frame, place } of corpus) {
    const mine = frame.slice();
    const first = watched(() => decodeOne(session, mine, place));
    for (const way of first.used) used.add(way);
    if (mine.join() !== frame.join()) return failed(name, 'decode changes the bytes of the frame');
    const before = textOf(first.answer);
    mine.fill(0xee);
    if (textOf(first.answer) !== before) return failed(name, 'the answer changes with the frame after decode is over');
    const other = corpus[draw.whole(corpus.length)]!;
    decodeOne(session, other.frame.slice(), other.place);
    const again = [session, adapter.open()].map(one => textOf(decodeOne(one, frame.slice(), place)));
    if (again.some(text => text !== before)) return failed(name, 'the same frame does not always give the same answer');
  }
  if (used.size > 0) return failed(name, `decode uses ${[...used].join(', ')}`);
  return passed(name, `${corpus.length} frames, each the same every time`);
}

/** Nothing throws, whatever the frame. */
export function checkRobust({ adapter, corpus }: Subject): Check {
  const name = 'any frame';
  const session = adapter.open();
  for (const { frame, place, real } of corpus) {
    const answer = checkPart(decodeOne(session, frame.slice(), place));
    if (isRejection(answer) && answer.rejected === 'adapterError') {
      return failed(
        name,
        `${answer.detail} on ${real ? 'a real' : 'a spoiled or random'} frame of ${frame.length} bytes`,
      );
    }
  }
  return passed(name, `${corpus.length} frames, real, spoiled and random: an answer each time`);
}

const FACTORS = [0.001, 0.01, 0.1, 10, 100, 1000] as const;

function outside(key: QuantityKey, value: unknown): string {
  const row = quantityRow(key);
  if (row === undefined || typeof value !== 'number' || Number.isNaN(value)) return `${key} is ${String(value)}`;
  const fits = [...FACTORS].reverse().find(factor => value * factor >= row.min && value * factor <= row.max);
  const hint = fits === undefined ? '' : `; × ${fits} would fit: a scale is missing`;
  return `${key} is ${value}, beyond ${row.min} to ${row.max} ${row.unit}${hint}`;
}

/** Values of real frames that the agent refuses in most of them. */
export function checkRanges({ adapter, corpus, material }: Subject): Check {
  const name = 'ranges';
  const real = corpus.filter(one => one.real);
  if (real.length === 0) return pending(name, NEEDS_BYTES);
  const excused = new Set(
    material.samples.flatMap(({ expects = {} }) =>
      Object.keys(expects).filter(key => expects[key as QuantityKey] === null),
    ),
  );
  const given = new Map<QuantityKey, { times: number; refused: number; words: string }>();
  const session = adapter.open();
  for (const { frame, place } of real) {
    const answer = decodeOne(session, frame.slice(), place);
    const checked = checkPart(answer);
    if (isRejection(checked) || isRejection(answer)) continue;
    for (const key of Object.keys(checked.quantities) as QuantityKey[]) {
      const tally = given.get(key) ?? { times: 0, refused: 0, words: '' };
      const reason = checked.reasons[key];
      const refused = reason === 'outOfRange' || reason === 'wrongType';
      given.set(key, {
        times: tally.times + 1,
        refused: tally.refused + (refused ? 1 : 0),
        words: refused ? outside(key, answer.quantities[key] ?? `refused (${reason})`) : tally.words,
      });
    }
  }
  for (const [key, { times, refused, words }] of given) {
    if (refused * 2 > times && !excused.has(key)) return failed(name, words);
  }
  return passed(name, `${given.size} quantities within their ranges`);
}

/** `talked`: what the talk gave, as it gave it. */
export function checkHonesty({ adapter, corpus }: Subject, talked: readonly DecodedReading[]): Check {
  const name = 'manifest honesty';
  const gives: readonly string[] = adapter.manifest.gives;
  const session = adapter.open();
  const decoded = corpus.flatMap(({ frame, place, real }) => {
    const checked = checkPart(decodeOne(session, frame.slice(), place));
    return isRejection(checked) ? [] : [{ reading: checked, real }];
  });
  const seen = new Set<string>();
  for (const { reading, real } of [...decoded, ...talked.map(reading => ({ reading, real: true }))]) {
    for (const key of Object.keys(reading.quantities)) {
      const quantity = key.split('.')[0]!;
      if (!gives.includes(quantity)) return failed(name, `it gives ${key}, which manifest.gives does not name`);
      if (real) seen.add(quantity);
    }
  }
  const never = gives.filter(quantity => !seen.has(quantity));
  return passed(name, never.length === 0 ? 'gives all it names' : `not seen in these bytes: ${never.join(', ')}`);
}
