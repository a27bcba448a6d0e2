/**
 * The adapter under test with all there is to test it on: its frames, the same frames spoiled, and noise.
 */
import type { Adapter } from '../adapter.ts';
import { endpoints, STREAM } from '../ble.ts';
import type { Capture, CapturedChunk } from '../capture.ts';
import { type Chance, createChance, spoil } from './chance.ts';
import { gather, type Material } from './material.ts';
import { frameAll } from './play.ts';
import { recordedStation } from './station.ts';
import { liveThrough } from './talk-bench.ts';
import type { Check, ConformanceOptions, ScriptedStation } from './terms.ts';

export interface CorpusFrame {
  readonly place: string;
  readonly frame: Uint8Array;
  /** It came from a station: neither spoiled nor drawn. */
  readonly real: boolean;
}

export interface Subject {
  readonly adapter: Adapter;
  readonly material: Material;
  readonly captures: readonly Capture[];
  readonly corpus: readonly CorpusFrame[];
  /** Places frames come from, as its manifest says. */
  readonly places: readonly string[];
  readonly talks: boolean;
  /** A new one each time. */
  readonly station: () => ScriptedStation;
  /** The same with values that stand still. */
  readonly stillStation: () => ScriptedStation;
  /** Chance of its own for each check, so that one more draw in one changes no other. */
  chance(check: string): Chance;
}

const MAX_REAL_FRAMES = 2000;
const SPOILED_FRAMES = 600;
const NOISE_FRAMES = 100;
const NOISE_BYTES = 300;
const RECORD_MS = 20_000;
/** A day of a slow station; more teaches nothing new. */
const MAX_CAPTURED_BYTES = 500_000;

function corpusOf(adapter: Adapter, material: Material, places: readonly string[], chance: Chance): CorpusFrame[] {
  const session = adapter.open();
  const real = material.streams.flatMap(stream =>
    frameAll(session, stream).frames.map(frame => ({ place: stream.place, frame, real: true })),
  );
  const kept = real.slice(0, MAX_REAL_FRAMES);
  const spoiled = Array.from({ length: kept.length === 0 ? 0 : SPOILED_FRAMES }, (_, i) => {
    const { place, frame } = kept[i % kept.length]!;
    return { place, frame: spoil(frame, chance), real: false };
  });
  const longest = Math.min(adapter.manifest.maxFrameBytes, NOISE_BYTES);
  const noise = places.flatMap(place =>
    Array.from({ length: NOISE_FRAMES }, () => ({
      place,
      frame: chance.bytes(chance.whole(longest + 1)),
      real: false,
    })),
  );
  return [...kept, ...spoiled, ...noise].filter(({ frame }) => frame.length > 0);
}

/** The adapter's name for a place; a capture made without an adapter calls it by its UUID. null: it uses no such place. */
function nameOf({ manifest }: Adapter, place: string): string | null {
  const characteristics = manifest.ble?.characteristics ?? {};
  if (place === STREAM || Object.hasOwn(characteristics, place)) return place;
  return Object.entries(characteristics).find(([, { uuid }]) => uuid === place)?.[0] ?? null;
}

/** The first of a capture, under the adapter's names; bytes of no particular platform. */
function ready(adapter: Adapter, { name, chunks }: Capture): Capture {
  const taken: CapturedChunk[] = [];
  let leftBytes = MAX_CAPTURED_BYTES;
  for (const { atMs, way, place, bytes } of chunks) {
    leftBytes -= bytes.length;
    if (leftBytes < 0) break;
    const named = nameOf(adapter, place);
    if (named !== null) taken.push({ atMs, way, place: named, bytes: Uint8Array.from(bytes) });
  }
  return { name, chunks: taken };
}

/** What a station and the adapter say to each other. */
const record = (adapter: Adapter, station: () => ScriptedStation): Capture => ({
  name: 'the station',
  chunks: liveThrough(adapter, station(), RECORD_MS).chunks,
});

/** Throws what the adapter's own `open` or `createFramer` throws. */
export function createSubject(adapter: Adapter, options: ConformanceOptions): Subject {
  const { samples = [], seed } = options;
  const places = endpoints(adapter.manifest.ble);
  const session = adapter.open();
  const talks = session.talk !== undefined;
  const captures = [
    ...(options.captures ?? []).map(capture => ready(adapter, capture)),
    ...(options.station && talks ? [record(adapter, options.station)] : []),
  ];
  const material = gather(samples, captures, place => session.createFramer(place).idleMs);
  const chance = (check: string): Chance =>
    createChance([...check].reduce((mixed, letter) => Math.imul(mixed, 31) + letter.charCodeAt(0), seed));
  const station = options.station ?? (() => recordedStation(material));
  const stillStation = options.station ?? (() => recordedStation(material, true));
  const corpus = corpusOf(adapter, material, places, chance('corpus'));
  return { adapter, material, captures, corpus, places, talks, station, stillStation, chance };
}

export const passed = (name: string, detail: string): Check => ({ name, ok: true, detail });
export const failed = (name: string, detail: string): Check => ({ name, ok: false, detail });
export const pending = (name: string, detail: string): Check => ({ name, ok: true, pending: true, detail });

export const NEEDS_BYTES = 'needs samples in the adapter file or a capture: record one with `wattkeep adapter capture`';
