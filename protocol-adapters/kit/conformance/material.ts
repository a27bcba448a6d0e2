/**
 * Samples and captures in the two forms the checks need: what arrives at each place, in bursts parted by silence, and
 * which answer belongs to which question.
 */
import { STREAM } from '../ble.ts';
import type { Capture, CapturedChunk } from '../capture.ts';
import type { Reply, Sample } from './terms.ts';

/** Bytes that arrive without a silence between them; on a characteristic one value. */
export interface Burst {
  readonly atMs: number;
  readonly bytes: Uint8Array;
}

export interface PlaceStream {
  readonly name: string;
  readonly place: string;
  readonly bursts: readonly Burst[];
  /** The samples it is made of, where it is. */
  readonly sample?: Sample;
  /** It was recorded, so its times are real. */
  readonly timed: boolean;
}

export interface Exchange {
  readonly asked: Uint8Array;
  readonly to: string;
  readonly answers: readonly Reply[];
}

export interface Material {
  readonly streams: readonly PlaceStream[];
  readonly exchanges: readonly Exchange[];
  readonly samples: readonly Sample[];
}

/** Without a time of its own, a sample is a second after the one before. */
const SAMPLE_EVERY_MS = 1000;
/** How soon a station answers where that was not recorded. */
export const PROMPT_MS = 5;

const fromHex = (hex: string): Uint8Array =>
  Uint8Array.from(hex.match(/[0-9a-f]{2}/gi) ?? [], pair => Number.parseInt(pair, 16));

const fromText = (text: string): Uint8Array =>
  Uint8Array.from(
    [...text].flatMap(character => encodeURIComponent(character).match(/%..|./g) ?? []),
    part => (part.length === 3 ? Number.parseInt(part.slice(1), 16) : part.charCodeAt(0)),
  );

export const sampleBytes = ({ hex, text }: Sample): Uint8Array =>
  hex === undefined ? fromText(text ?? '') : fromHex(hex);

/** What is wrong with a sample, or null: a stranger wrote it. */
export function sampleFault(sample: unknown): string | null {
  if (typeof sample !== 'object' || sample === null) return 'a sample is no object';
  const { name, hex, text, asked } = sample as Record<string, unknown>;
  if (typeof name !== 'string' || name === '') return 'a sample has no name';
  if ((typeof hex === 'string') === (typeof text === 'string')) return `sample "${name}" needs either hex or text`;
  for (const value of [hex, asked]) {
    if (value !== undefined && !/^\s*([0-9a-f]{2}\s*)*$/i.test(String(value))) {
      return `sample "${name}": hex is pairs of hex digits`;
    }
  }
  return null;
}

/** Chunks of one place; on a stream those that follow within `idleMs` become one burst. */
function bursts(chunks: readonly CapturedChunk[], place: string, idleMs: number | undefined): Burst[] {
  const all: { atMs: number; lastMs: number; bytes: number[] }[] = [];
  for (const { atMs, bytes } of chunks) {
    const last = all.at(-1);
    const joins = place === STREAM && last !== undefined && (idleMs === undefined || atMs - last.lastMs < idleMs);
    if (!joins) all.push({ atMs, lastMs: atMs, bytes: [...bytes] });
    else {
      for (const byte of bytes) last.bytes.push(byte);
      last.lastMs = atMs;
    }
  }
  return all.map(({ atMs, bytes }) => ({ atMs, bytes: Uint8Array.from(bytes) }));
}

/** Answers come as long after their question as they did. */
function exchangesOf({ chunks }: Capture): Exchange[] {
  const exchanges: { asked: Uint8Array; to: string; atMs: number; answers: Reply[] }[] = [];
  for (const { way, place, bytes, atMs } of chunks) {
    const last = exchanges.at(-1);
    if (way === 'out') exchanges.push({ asked: bytes, to: place, atMs, answers: [] });
    else last?.answers.push({ from: place, bytes, delayMs: Math.max(0, atMs - last.atMs) });
  }
  // Sent without a byte is what a capture says of a characteristic that was read.
  return exchanges.filter(({ asked, answers }) => asked.length > 0 && answers.length > 0);
}

/** `idleMsOf`: the silence a place's framer asks for. */
export function gather(
  samples: readonly Sample[],
  captures: readonly Capture[],
  idleMsOf: (place: string) => number | undefined,
): Material {
  const streams: PlaceStream[] = samples.map((sample, i) => ({
    name: `sample "${sample.name}"`,
    place: sample.from ?? STREAM,
    bursts: [{ atMs: i * SAMPLE_EVERY_MS, bytes: sampleBytes(sample) }],
    sample,
    timed: false,
  }));
  for (const capture of captures) {
    const heard = capture.chunks.filter(({ way }) => way === 'in');
    for (const place of new Set(heard.map(chunk => chunk.place))) {
      const mine = heard.filter(chunk => chunk.place === place);
      streams.push({ name: capture.name, place, bursts: bursts(mine, place, idleMsOf(place)), timed: true });
    }
  }
  const asked = samples.flatMap(sample =>
    sample.asked === undefined
      ? []
      : [
          {
            asked: fromHex(sample.asked),
            to: sample.to ?? STREAM,
            answers: [{ from: sample.from ?? STREAM, bytes: sampleBytes(sample), delayMs: PROMPT_MS }],
          },
        ],
  );
  return { streams, exchanges: [...asked, ...captures.flatMap(exchangesOf)], samples };
}
