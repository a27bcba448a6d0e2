/**
 * A talk with a scripted station over time that a hand moves: the same roads as in the agent (framers, talk, decode), so
 * that years of late and wrong answers can be lived through in a moment.
 */
import type { Adapter, AdapterSession, Framer } from '../adapter.ts';
import { endpoints } from '../ble.ts';
import type { CapturedChunk } from '../capture.ts';
import { checkPart } from '../check-reading.ts';
import { type DecodedReading, isRejection, type Rejection, type RejectionCause } from '../reading.ts';
import { createRequestCheck } from '../requests.ts';
import { runTalk, type Talk, type TalkAnswer, type TalkStep } from '../talk.ts';
import { createHandTimers } from './hand-timers.ts';
import { decodeOne, hexOf } from './play.ts';
import type { Reply, ScriptedStation } from './terms.ts';

export interface Lived {
  /** Everything that was said. */
  readonly chunks: CapturedChunk[];
  readonly spanMs: number;
  /** As given, before anything is added that follows from them. */
  readonly readings: { readonly atMs: number; readonly reading: DecodedReading }[];
  readonly rejections: Rejection[];
  /** Questions and reads. */
  asks: number;
  /** The first message or place that the manifest does not name, in words. */
  unlisted: string | null;
  longestWaitMs: number;
}

/** A talk that asks more often is ended: that is all there is to learn of it. */
export const MAX_ASKS_PER_S = 50;
/** More steps than this without time passing is a talk that never waits. */
const MAX_STEPS_AT_ONCE = 1000;

/** The talk, its steps looked at on their way: one that asks for nothing for ever would hold everything up. */
function* looked(talk: Talk, monoMs: () => number, look: (step: TalkStep) => void): Talk {
  let steps = 0;
  let sinceMs = monoMs();
  let answer: TalkAnswer = { done: true };
  try {
    for (;;) {
      if (monoMs() !== sinceMs) [steps, sinceMs] = [0, monoMs()];
      steps += 1;
      if (steps > MAX_STEPS_AT_ONCE) throw new RangeError('the talk goes on for ever without waiting');
      const next = talk.next(answer);
      if (next.done === true) return next.value;
      look(next.value);
      answer = yield next.value;
    }
  } finally {
    talk.return('');
  }
}

class Bench {
  readonly lived: Lived;
  readonly timers = createHandTimers();
  readonly #adapter: Adapter;
  readonly #session: AdapterSession;
  readonly #framers = new Map<string, Framer>();
  /** Chunks heard of each place, so that a silence is known for one. */
  readonly #heard = new Map<string, number>();
  readonly #station: ScriptedStation;
  readonly #places: readonly string[];
  readonly #mayAsk: ReturnType<typeof createRequestCheck>;
  #run: ReturnType<typeof runTalk> | null = null;

  constructor(adapter: Adapter, station: ScriptedStation, spanMs: number) {
    const { requests, ble, intervalMs } = adapter.manifest;
    this.#adapter = adapter;
    this.#station = station;
    this.#session = adapter.open();
    this.#places = endpoints(ble);
    this.#mayAsk = createRequestCheck(requests);
    this.lived = { spanMs, chunks: [], readings: [], rejections: [], asks: 0, unlisted: null, longestWaitMs: 0 };
    this.#clear();
    this.#run = runTalk({
      timers: this.timers,
      monoMs: () => this.timers.monoMs(),
      intervalMs,
      newTalk: () =>
        looked(
          this.#session.talk!(),
          () => this.timers.monoMs(),
          step => this.#look(step),
        ),
      send: (message, to) => this.#send(Uint8Array.from(message), to),
      read: from => this.#read(from),
      give: answer => this.#give(answer),
      clear: () => this.#clear(),
    });
    this.#deliver(station.unasked);
  }

  end(): void {
    this.#run?.end();
  }

  #look(step: TalkStep): void {
    if (step.step === 'ask' || step.step === 'read') {
      this.lived.longestWaitMs = Math.max(this.lived.longestWaitMs, step.withinMs);
    }
  }

  #clear(): void {
    for (const place of this.#places) this.#framers.set(place, this.#session.createFramer(place));
  }

  #send(message: Uint8Array, to: string): void {
    this.lived.asks += 1;
    if (!this.#mayAsk(message, to)) {
      this.lived.unlisted ??= `it sends ${hexOf(message)}${to === '' ? '' : ` to ${to}`}, which manifest.requests does not list`;
      return;
    }
    this.#note('out', to, message);
    if ((this.lived.asks / this.lived.spanMs) * 1000 > MAX_ASKS_PER_S) this.end();
    this.#deliver(this.#station.asked(message, to, this.timers.monoMs()));
  }

  #read(from: string): void {
    this.lived.asks += 1;
    const use = this.#adapter.manifest.ble?.characteristics[from]?.use ?? [];
    if (!use.includes('read'))
      this.lived.unlisted ??= `it reads ${from || 'a stream'}, which the manifest does not allow`;
    else this.#deliver(this.#station.read(from, this.timers.monoMs()));
  }

  #deliver(replies: readonly Reply[]): void {
    for (const { from, bytes, delayMs } of replies)
      this.timers.after(delayMs, () => this.#hear(Uint8Array.from(bytes), from));
  }

  #note(way: CapturedChunk['way'], place: string, bytes: Uint8Array): void {
    this.lived.chunks.push({ atMs: this.timers.monoMs(), way, place, bytes: Uint8Array.from(bytes) });
  }

  #hear(bytes: Uint8Array, from: string): void {
    this.#note('in', from, bytes);
    const framer = this.#framers.get(from);
    if (framer === undefined) return;
    this.#safely(() => framer.push(bytes, this.#onFrame(from), this.#onReject));
    const { idleMs } = framer;
    if (idleMs === undefined) return;
    const heard = (this.#heard.get(from) ?? 0) + 1;
    this.#heard.set(from, heard);
    this.timers.after(idleMs, () => {
      if (this.#heard.get(from) !== heard || this.#framers.get(from) !== framer) return;
      this.#safely(() => framer.idle?.(this.#onFrame(from), this.#onReject));
    });
  }

  #onFrame(from: string): (frame: Uint8Array) => void {
    return frame => {
      if (this.#run?.frame(frame, from) !== true) this.#give(decodeOne(this.#session, frame, from));
    };
  }

  readonly #onReject = (rejected: RejectionCause): void => this.#give({ rejected, detail: '' });

  #safely(run: () => void): void {
    try {
      run();
    } catch (cause) {
      this.#give({ rejected: 'adapterError', detail: `the framer threw ${String(cause)}` });
      this.#clear();
    }
  }

  #give(answer: DecodedReading | Rejection): void {
    const checked = checkPart(answer);
    if (isRejection(checked)) this.lived.rejections.push(checked);
    else this.lived.readings.push({ atMs: this.timers.monoMs(), reading: checked });
  }
}

/** What happens within `spanMs` of a new session with this station. */
export function liveThrough(adapter: Adapter, station: ScriptedStation, spanMs: number): Lived {
  const bench = new Bench(adapter, station, spanMs);
  bench.timers.pass(spanMs);
  bench.end();
  const { asks } = bench.lived;
  bench.timers.pass(spanMs);
  if (bench.lived.asks > asks) bench.lived.unlisted ??= 'it goes on asking after the link has closed';
  return bench.lived;
}
