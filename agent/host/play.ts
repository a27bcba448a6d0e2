/**
 * A capture through an adapter, as the agent would take it, on a clock of its own: each frame, what decode said of it,
 * the reading that came of it, each rejection with its cause, and each question with whether the capture holds its
 * answer. Pure: no clock, no port.
 */
import {
  type Adapter,
  type AdapterSession,
  type Capture,
  type CapturedChunk,
  type DecodedReading,
  endpoints,
  type Framer,
  type PartReading,
  type Rejection,
  type RejectionCause,
  type TableDecoder,
  type ToldField,
  toldFields,
} from '#kit';
import { openChannel } from './channels.ts';
import { createHandTime } from './hand-time.ts';

export type PlayStep =
  | { readonly atMs: number; readonly step: 'frame'; readonly from: string; readonly bytes: Uint8Array }
  /** What decode made of the frame before it. */
  | { readonly atMs: number; readonly step: 'decoded'; readonly answer: PartReading | Rejection }
  /** What the table of fields found in the frame before it. */
  | { readonly atMs: number; readonly step: 'fields'; readonly fields: readonly ToldField[] }
  /** No frame came of some bytes. */
  | { readonly atMs: number; readonly step: 'unframed'; readonly cause: RejectionCause }
  /** `known`: the capture holds this question, and what followed it there follows here. */
  | {
      readonly atMs: number;
      readonly step: 'asked';
      readonly to: string;
      readonly bytes: Uint8Array;
      readonly known: boolean;
    }
  | { readonly atMs: number; readonly step: 'reading'; readonly reading: DecodedReading }
  | { readonly atMs: number; readonly step: 'rejected'; readonly counts: object; readonly detail: string };

export interface PlayEnd {
  readonly readings: number;
  readonly rejected: number;
  /** Chunks from the station that were never reached: the adapter asked something else. */
  readonly unheard: number;
}

/** A talk that asks what the capture does not hold goes on for so long. */
const PATIENCE_MS = 30_000;

/** Plays all of it; throws what the adapter's own `open` or `createFramer` throws. */
export function playCapture(adapter: Adapter, capture: Capture, tell: (step: PlayStep) => void): PlayEnd {
  const time = createHandTime();
  const places = endpoints(adapter.manifest.ble);
  const tally = { readings: 0, rejected: 0 };
  const now = (): number => time.nowMs();
  const overheard = overhear(adapter, now, tell);
  const heard = capture.chunks.filter(({ way }) => way === 'in').length;
  let fed = 0;
  const feed = (chunk: CapturedChunk, afterMs: number): void => {
    time.after(afterMs, () => {
      fed += 1;
      const place = placeOf(adapter, places, chunk.place);
      if (place >= 0) channel.feed(chunk.bytes, place);
    });
  };
  const tape = createTape(capture.chunks);
  const ask = (to: string, bytes: Uint8Array): void => {
    const answers = tape.find(to, bytes);
    tell({ atMs: now(), step: 'asked', to, bytes: bytes.slice(), known: answers !== null });
    for (const { chunk, afterMs } of answers ?? []) feed(chunk, afterMs);
  };
  const channel = openChannel(0, overheard.adapter, {
    monoMs: now,
    timers: time,
    output: {
      reading(_channel, reading) {
        tally.readings += 1;
        tell({ atMs: now(), step: 'reading', reading });
      },
      rejected(_channel, counts, detail) {
        tally.rejected += Object.values(counts).reduce((sum, count) => sum + count, 0);
        tell({ atMs: now(), step: 'rejected', counts, detail });
      },
      send: (_channel, place, message) => ask(places[place] ?? '', message),
      read: (_channel, place) => ask(places[place] ?? '', new Uint8Array(0)),
    },
  });
  // What was not asked for comes at its own time; a talk is answered at its own pace.
  if (overheard.talks()) for (const chunk of tape.unasked()) feed(chunk, chunk.atMs);
  else for (const chunk of capture.chunks) if (chunk.way === 'in') feed(chunk, chunk.atMs);
  let progress = { fed, atMs: 0 };
  // A talk never ends by itself: a round after the last byte, or long after nothing it asks is in the capture.
  while (time.next()) {
    if (fed > progress.fed) progress = { fed, atMs: now() };
    const waitMs = fed === heard ? adapter.manifest.intervalMs : PATIENCE_MS;
    if (overheard.talks() && now() - progress.atMs > waitMs) break;
  }
  channel.end();
  return { ...tally, unheard: heard - fed };
}

/** By the adapter's name for it; a capture made without an adapter names characteristics by UUID. */
function placeOf({ manifest }: Adapter, places: readonly string[], name: string): number {
  const named = places.indexOf(name);
  if (named >= 0) return named;
  const found = Object.entries(manifest.ble?.characteristics ?? {}).find(([, { uuid }]) => uuid === name);
  return found === undefined ? -1 : places.indexOf(found[0]);
}

/** The adapter with an ear on its framers and its decode. */
function overhear(adapter: Adapter, now: () => number, tell: (step: PlayStep) => void) {
  let talks = false;
  const open = (): AdapterSession => {
    const session = adapter.open();
    talks = session.talk !== undefined;
    return {
      createFramer: from => overhearFramer(session.createFramer(from), from, now, tell),
      decode(frame, from) {
        const { table } = session.decode as Partial<TableDecoder>;
        if (table !== undefined) tell({ atMs: now(), step: 'fields', fields: toldFields(table, frame) });
        const answer = session.decode(frame, from);
        tell({ atMs: now(), step: 'decoded', answer });
        return answer;
      },
      ...(session.talk === undefined ? {} : { talk: () => session.talk!() }),
    };
  };
  return { adapter: { manifest: adapter.manifest, open }, talks: () => talks };
}

function overhearFramer(framer: Framer, from: string, now: () => number, tell: (step: PlayStep) => void): Framer {
  const heard = (onFrame: (frame: Uint8Array) => void) => (frame: Uint8Array) => {
    tell({ atMs: now(), step: 'frame', from, bytes: frame.slice() });
    onFrame(frame);
  };
  const lost = (onReject: (cause: RejectionCause) => void) => (cause: RejectionCause) => {
    tell({ atMs: now(), step: 'unframed', cause });
    onReject(cause);
  };
  return {
    ...(framer.idleMs === undefined ? {} : { idleMs: framer.idleMs }),
    push: (chunk, onFrame, onReject) => framer.push(chunk, heard(onFrame), lost(onReject)),
    end: onReject => framer.end(lost(onReject)),
    ...(framer.idle === undefined ? {} : { idle: (onFrame, onReject) => framer.idle!(heard(onFrame), lost(onReject)) }),
  };
}

const same = (a: Uint8Array, b: Uint8Array): boolean => a.length === b.length && a.every((byte, i) => byte === b[i]);

/** The capture as answers to questions: what followed each question until the next one. */
function createTape(chunks: readonly CapturedChunk[]) {
  let cursor = 0;
  const untilQuestion = (from: number): CapturedChunk[] => {
    const end = chunks.findIndex((chunk, i) => i >= from && chunk.way === 'out');
    return chunks.slice(from, end < 0 ? chunks.length : end);
  };
  return {
    /** What came before the first question. */
    unasked: () => untilQuestion(0),
    /** The answers to the next such question, with their delays after it; null where the rest holds none. */
    find(to: string, bytes: Uint8Array): { chunk: CapturedChunk; afterMs: number }[] | null {
      const at = chunks.findIndex(
        (chunk, i) => i >= cursor && chunk.way === 'out' && chunk.place === to && same(chunk.bytes, bytes),
      );
      if (at < 0) return null;
      cursor = at + 1;
      return untilQuestion(cursor).map(chunk => ({ chunk, afterMs: chunk.atMs - chunks[at]!.atMs }));
    },
  };
}
