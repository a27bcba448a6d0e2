/**
 * Framing: the same frames however the bytes were cut, no throw at any noise, back in step after it, and no frame over
 * the ceiling.
 */
import type { Adapter } from '../adapter.ts';
import { STREAM } from '../ble.ts';
import { cutUp, spoil } from './chance.ts';
import type { Burst, PlaceStream } from './material.ts';
import { EVERY_BYTE, type Framed, frameAll, WHOLE } from './play.ts';
import { failed, NEEDS_BYTES, passed, pending, type Subject } from './subject.ts';
import type { Check } from './terms.ts';

const SPLITS = 40;
const NOISES = 30;
const NOISE_BYTES = 2000;
/** A stream longer than this is cut less often. */
const LONG_BYTES = 20_000;

const burst = (bytes: Uint8Array): Burst => ({ atMs: 0, bytes });
const join = (parts: readonly Uint8Array[]): Uint8Array => Uint8Array.from(parts.flatMap(part => [...part]));
const total = ({ bursts }: Pick<PlaceStream, 'bursts'>): number =>
  bursts.reduce((sum, { bytes }) => sum + bytes.length, 0);

/** What arrives on the stream: as it was, spoiled, and noise. */
function streamsToCut({ material, chance }: Subject): Pick<PlaceStream, 'name' | 'place' | 'bursts'>[] {
  const draw = chance('streams');
  const real = material.streams.filter(({ place }) => place === STREAM);
  const spoiled = real.map(({ name, place, bursts }) => ({
    name: `${name}, spoiled`,
    place,
    bursts: bursts.map(({ bytes }) => burst(spoil(bytes, draw))),
  }));
  const noise = Array.from({ length: 10 }, () => ({
    name: 'noise',
    place: STREAM,
    bursts: [burst(draw.bytes(draw.whole(NOISE_BYTES)))],
  }));
  return [...real, ...spoiled, ...noise];
}

const onlyBle = ({ manifest }: Adapter): boolean => manifest.transports.every(kind => kind === 'ble');

const differs = (a: Framed, b: Framed): boolean => a.told.join() !== b.told.join();

export function checkSplits(subject: Subject): Check {
  const name = 'random splits';
  const { adapter, chance } = subject;
  if (onlyBle(adapter)) return passed(name, 'values arrive whole');
  const draw = chance(name);
  let cuts = 0;
  for (const stream of streamsToCut(subject)) {
    const whole = frameAll(adapter.open(), stream, WHOLE);
    if (whole.threw !== null) return failed(name, `${stream.name}: ${whole.threw}`);
    const times = total(stream) > LONG_BYTES ? 5 : SPLITS;
    for (let i = 0; i <= times; i++) {
      const framed = frameAll(adapter.open(), stream, i === 0 ? EVERY_BYTE : bytes => cutUp(bytes, draw));
      if (framed.threw !== null) return failed(name, `${stream.name}: ${framed.threw}`);
      if (differs(whole, framed)) {
        return failed(name, `${stream.name}: what comes out depends on where the bytes were cut`);
      }
      cuts += 1;
    }
  }
  return passed(name, `${cuts} ways to cut, always the same frames`);
}

/** Frames that must be there again after noise, and those that are: of what follows, the last ones. */
function afterNoise(
  { adapter }: Subject,
  good: PlaceStream,
  noise: Uint8Array,
): { frames: string[]; wanted: string[] } {
  const bytes = join(good.bursts.map(one => one.bytes));
  const idle = adapter.open().createFramer(good.place).idleMs !== undefined;
  const repeats = 3 + Math.ceil((2 * adapter.manifest.maxFrameBytes) / Math.max(1, bytes.length));
  const again = idle ? good.bursts : Array.from({ length: repeats }, () => burst(bytes));
  const hex = (bursts: readonly Burst[]): string[] =>
    frameAll(adapter.open(), { place: good.place, bursts }).frames.map(frame => frame.join());
  const once = hex(good.bursts);
  // A capture may begin and end within a frame, which then spoils its neighbour: only its second half is asked for.
  const wanted = good.sample === undefined ? once.slice(Math.floor(once.length / 2)) : once;
  return { frames: hex([burst(noise), ...again]).slice(-wanted.length), wanted };
}

export function checkNoise(subject: Subject): Check {
  const name = 'noise';
  const { adapter, chance, places, material } = subject;
  const draw = chance(name);
  for (const place of places) {
    for (let i = 0; i < NOISES; i++) {
      const bytes = draw.bytes(1 + draw.whole(NOISE_BYTES));
      const { threw } = frameAll(adapter.open(), { place, bursts: [burst(bytes)] }, cut => cutUp(cut, draw));
      if (threw !== null) return failed(name, threw);
    }
  }
  const good = material.streams.find(
    stream => stream.place === STREAM && frameAll(adapter.open(), stream).frames.length > 0,
  );
  if (good === undefined) {
    return adapter.manifest.transports.includes('ble') ? passed(name, 'nothing throws') : pending(name, NEEDS_BYTES);
  }
  const times = total(good) > LONG_BYTES ? 5 : NOISES;
  for (let i = 0; i < times; i++) {
    const { frames, wanted } = afterNoise(subject, good, draw.bytes(1 + draw.whole(NOISE_BYTES)));
    if (frames.join(' ') !== wanted.join(' ')) {
      return failed(name, `after noise it does not come back into step with ${good.name}`);
    }
  }
  return passed(name, `${times} times noise, then the frames again`);
}

export function checkCeiling({ adapter, places, chance, material }: Subject): Check {
  const name = 'frame ceiling';
  const { maxFrameBytes } = adapter.manifest;
  const draw = chance(name);
  const flood = (place: string): PlaceStream => ({
    name: 'a long noise',
    place,
    bursts: [burst(draw.bytes(Math.max(NOISE_BYTES, Math.min(3 * maxFrameBytes, 10 * LONG_BYTES))))],
    timed: false,
  });
  let longest = 0;
  for (const stream of [...material.streams, ...places.map(flood)]) {
    for (const frame of frameAll(adapter.open(), stream).frames) longest = Math.max(longest, frame.length);
    if (longest > maxFrameBytes) {
      return failed(name, `a frame of ${longest} bytes from ${stream.name}; maxFrameBytes is ${maxFrameBytes}`);
    }
  }
  return passed(name, `no frame over ${maxFrameBytes} bytes; the longest had ${longest}`);
}

/** Silence: no byte gives nothing; the end of a link tells what was left at most once, and leaves nothing behind. */
export function checkSilence({ adapter, material }: Subject): Check {
  const name = 'silence';
  const nothing = frameAll(adapter.open(), { place: STREAM, bursts: [burst(new Uint8Array(0))] });
  if (nothing.told.length > 0 && !onlyBle(adapter)) return failed(name, 'something comes out though no byte went in');
  for (const { place, bursts, name: what } of material.streams) {
    const [first] = bursts;
    if (first === undefined || place !== STREAM) continue;
    const framer = adapter.open().createFramer(place);
    const ended: string[] = [];
    framer.push(
      first.bytes.slice(0, -1),
      () => undefined,
      () => undefined,
    );
    framer.end(cause => void ended.push(cause));
    framer.end(cause => void ended.push(cause));
    if (ended.length > 1) return failed(name, `${what}: the end of the link is told ${ended.length} times`);
  }
  return passed(name, 'nothing comes of nothing; an end is told once');
}
