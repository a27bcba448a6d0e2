/**
 * The adapter's side of every open channel: bytes → framer → answer to a question, or decode → reading or rejection. Whatever an adapter
 * answers is checked as a stranger's word; whatever it throws is counted as `adapterError` and the next frame is
 * tried. Rejections are counted by cause and told at most four times a second for a channel.
 */
import {
  type Adapter,
  type AdapterSession,
  type Bucket,
  type Ceiling,
  checkPart,
  checkReading,
  combineParts,
  complete,
  type DecodedReading,
  endpoints,
  fullBucket,
  isRejection,
  NO_PARTS,
  type PartReading,
  type Parts,
  printable,
  type Rejection,
  type RejectionCause,
  refill,
  runTalk,
  STREAM,
  type TalkRun,
  type Timers,
  take,
  withPart,
} from '#kit';
import type { RejectionCounts } from './contract.ts';
import { FramedPlace } from './framed-place.ts';

const TELL_REJECTIONS_EVERY_MS = 250;
/** Frames decoded a second for each reading a second allowed: noise at full speed costs the process no more. */
const TRIES_PER_READING = 20;

export interface ChannelOutput {
  reading(channel: number, reading: DecodedReading): void;
  rejected(channel: number, counts: RejectionCounts, detail: string): void;
  /** `place`: in the adapter's list of endpoints. */
  send(channel: number, place: number, message: Uint8Array): void;
  read(channel: number, place: number): void;
}

export interface AdapterInput {
  feed(bytes: Uint8Array, place: number): void;
  /** The link is gone: counts what was left and tells every count that is still owed. */
  end(): void;
}

export interface ChannelSurroundings {
  readonly monoMs: () => number;
  readonly timers: Timers;
  readonly output: ChannelOutput;
}

/** Counts by cause, told at once and then at most every 250 ms. */
function createTally(channel: number, { monoMs, timers, output }: ChannelSurroundings) {
  let counts: RejectionCounts = {};
  let detail = '';
  let owed = false;
  let toldAtMs = Number.NEGATIVE_INFINITY;
  let cancel: (() => void) | null = null;

  const tell = (): void => {
    cancel?.();
    cancel = null;
    if (!owed) return;
    output.rejected(channel, counts, detail);
    counts = {};
    owed = false;
    toldAtMs = monoMs();
  };
  return {
    tell,
    add(cause: RejectionCause, why: string): void {
      counts[cause] = (counts[cause] ?? 0) + 1;
      detail = why;
      owed = true;
      if (cancel !== null) return;
      const waitMs = toldAtMs + TELL_REJECTIONS_EVERY_MS - monoMs();
      if (waitMs <= 0) tell();
      else cancel = timers.after(waitMs, tell);
    },
  };
}

function decodeSafely(session: AdapterSession, frame: Uint8Array, from: string): PartReading | Rejection {
  try {
    return session.decode(frame, from);
  } catch (cause) {
    return { rejected: 'adapterError', detail: printable(`decode threw ${String(cause)}`) };
  }
}

const MAX_PART_NAME = 40;

/** The adapter's own name for a part, else the place it came from. */
const partName = (answer: unknown, from: string): string =>
  typeof answer === 'object' && answer !== null && 'part' in answer && typeof answer.part === 'string'
    ? printable(answer.part, MAX_PART_NAME)
    : from;

/** Opens a session of the adapter. Throws what the adapter's own `open` or `createFramer` throws. */
export function openChannel(channel: number, adapter: Adapter, surroundings: ChannelSurroundings): AdapterInput {
  return new OpenChannel(channel, adapter, surroundings);
}

class OpenChannel implements AdapterInput {
  readonly #channel: number;
  readonly #around: ChannelSurroundings;
  readonly #session: AdapterSession;
  readonly #tally: ReturnType<typeof createTally>;
  readonly #places: readonly string[];
  readonly #framed: readonly FramedPlace[];
  readonly #talk: TalkRun | null;
  readonly #maxPerS: number;
  /** Readings, and frames tried: both per second. */
  readonly #ceilings: { readonly readings: Ceiling; readonly tries: Ceiling };
  #readings: Bucket;
  #tries: Bucket;
  readonly #partsHoldMs: number | undefined;
  #parts: Parts = NO_PARTS;

  constructor(channel: number, adapter: Adapter, around: ChannelSurroundings) {
    const { maxReadingsPerS, intervalMs, partsHoldMs, ble } = adapter.manifest;
    const triesPerS = maxReadingsPerS * TRIES_PER_READING;
    this.#channel = channel;
    this.#around = around;
    this.#session = adapter.open();
    this.#tally = createTally(channel, around);
    this.#places = endpoints(ble);
    this.#framed = this.#places.map(place => this.#frame(place));
    this.#maxPerS = maxReadingsPerS;
    this.#partsHoldMs = partsHoldMs;
    this.#ceilings = {
      readings: { perS: maxReadingsPerS, burst: maxReadingsPerS },
      tries: { perS: triesPerS, burst: triesPerS },
    };
    this.#readings = fullBucket(this.#ceilings.readings, around.monoMs());
    this.#tries = fullBucket(this.#ceilings.tries, around.monoMs());
    this.#talk = this.#session.talk === undefined ? null : this.#startTalk(this.#session.talk, intervalMs);
  }

  feed(bytes: Uint8Array, place: number): void {
    this.#framed[place]?.feed(bytes);
  }

  end(): void {
    this.#talk?.end();
    for (const place of this.#framed) place.end();
    this.#tally.tell();
  }

  #frame(place: string): FramedPlace {
    const { monoMs, timers } = this.#around;
    return new FramedPlace({
      monoMs,
      timers,
      createFramer: () => this.#session.createFramer(place),
      onFrame: frame => this.#onFrame(frame, place),
      onReject: cause => this.#tally.add(cause, ''),
      onThrow: cause => this.#tally.add('adapterError', printable(`the framer threw ${String(cause)}`)),
    });
  }

  #startTalk(talk: NonNullable<AdapterSession['talk']>, intervalMs: number): TalkRun {
    const { timers, monoMs, output } = this.#around;
    return runTalk({
      timers,
      monoMs,
      intervalMs,
      newTalk: () => talk.call(this.#session),
      send: (message, to) => output.send(this.#channel, this.#placeOf(to), message),
      read: from => output.read(this.#channel, this.#placeOf(from)),
      give: answer => this.#give(this.#mayTry() ? answer : this.#tooFast(), STREAM),
      clear: () => {
        for (const place of this.#framed) place.clear();
      },
    });
  }

  /** Throws where the adapter names a place that its manifest does not. */
  #placeOf(name: string): number {
    const place = this.#places.indexOf(name);
    if (place < 0) throw new RangeError(`its manifest names no characteristic ${name}`);
    return place;
  }

  /** Asked before decoding, so that a flood costs no decoding. */
  #mayTry(): boolean {
    const nowMs = this.#around.monoMs();
    this.#readings = refill(this.#readings, this.#ceilings.readings, nowMs);
    const left = take(this.#tries, this.#ceilings.tries, nowMs);
    if (this.#readings.tokens < 1 || left === null) return false;
    this.#tries = left;
    return true;
  }

  #tooFast(): Rejection {
    return { rejected: 'tooFast', detail: `more than ${this.#maxPerS} readings a second` };
  }

  #onFrame(frame: Uint8Array, from: string): void {
    if (this.#talk?.frame(frame, from)) return;
    this.#give(this.#mayTry() ? decodeSafely(this.#session, frame, from) : this.#tooFast(), from);
  }

  /** `answer` is a stranger's word. */
  #give(answer: PartReading | Rejection, from: string): void {
    const checked = this.#partsHoldMs === undefined ? checkReading(answer) : checkPart(answer);
    if (isRejection(checked)) {
      this.#tally.add(checked.rejected, checked.detail);
      return;
    }
    this.#readings = take(this.#readings, this.#ceilings.readings, this.#readings.atMs) ?? this.#readings;
    const reading = this.#partsHoldMs === undefined ? checked : this.#together(checked, partName(answer, from));
    // Parts that hold nothing but states wait for the first one with a value.
    if (Object.keys(reading.quantities).length === 0) return;
    this.#around.output.reading(this.#channel, complete(reading));
  }

  #together(part: DecodedReading, name: string): DecodedReading {
    const nowMs = this.#around.monoMs();
    this.#parts = withPart(this.#parts, name, part, nowMs, this.#partsHoldMs ?? 0);
    return combineParts(this.#parts, nowMs);
  }
}
