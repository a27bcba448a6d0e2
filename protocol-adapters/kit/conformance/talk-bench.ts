/**
 * A talk with a scripted station over time that a hand moves: the same roads as in the agent (framers, talk, decode), so
 * that years of late and wrong answers can be lived through in a moment.
 */
import type { Adapter, AdapterSession, Framer } from '../adapter.ts';
import { endpoints, STREAM } from '../ble.ts';
import { checkPart } from '../check-reading.ts';
import { complete } from '../complete.ts';
import { type DecodedReading, isRejection, type Rejection, type RejectionCause } from '../reading.ts';
import { createRequestCheck } from '../requests.ts';
import { runTalk, type Talk, type TalkAnswer, type TalkStep } from '../talk.ts';
import { createHandTimers } from './hand-timers.ts';
import type { Answer } from './material.ts';
import { decodeOne, hexOf } from './play.ts';

export interface Reply extends Answer {
  /** After the question. */
  readonly delayMs: number;
}

export interface Station {
  asked(message: Uint8Array, to: string): readonly Reply[];
  read(from: string): readonly Reply[];
  /** What it sends unasked, at the start. */
  readonly unasked: readonly Reply[];
}

export interface Lived {
  readonly spanMs: number;
  readonly readings: { readonly atMs: number; readonly reading: DecodedReading }[];
  readonly rejections: Rejection[];
  /** Questions and reads. */
  asks: number;
  /** The first message or place that the manifest does not name, in words. */
  unlisted: string | null;
  longestWaitMs: number;
}

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
  readonly #station: Station;
  readonly #places: readonly string[];
  readonly #mayAsk: ReturnType<typeof createRequestCheck>;
  #run: ReturnType<typeof runTalk> | null = null;

  constructor(adapter: Adapter, station: Station, spanMs: number) {
    const { requests, ble, intervalMs } = adapter.manifest;
    this.#adapter = adapter;
    this.#station = station;
    this.#session = adapter.open();
    this.#places = endpoints(ble);
    this.#mayAsk = createRequestCheck(requests);
    this.lived = { spanMs, readings: [], rejections: [], asks: 0, unlisted: null, longestWaitMs: 0 };
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
      send: (message, to) => this.#send(message.slice(), to),
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
    this.#deliver(this.#station.asked(message, to));
  }

  #read(from: string): void {
    this.lived.asks += 1;
    const use = this.#adapter.manifest.ble?.characteristics[from]?.use ?? [];
    if (!use.includes('read'))
      this.lived.unlisted ??= `it reads ${from || 'a stream'}, which the manifest does not allow`;
    else this.#deliver(this.#station.read(from));
  }

  #deliver(replies: readonly Reply[]): void {
    for (const { from, bytes, delayMs } of replies) this.timers.after(delayMs, () => this.#hear(bytes.slice(), from));
  }

  #hear(bytes: Uint8Array, from: string): void {
    const framer = this.#framers.get(from);
    if (framer === undefined) return;
    const onFrame = (frame: Uint8Array): void => {
      if (this.#run?.frame(frame, from) !== true) this.#give(decodeOne(this.#session, frame, from));
    };
    const onReject = (rejected: RejectionCause): void => this.#give({ rejected, detail: '' });
    try {
      framer.push(bytes, onFrame, onReject);
      if (from === STREAM && framer.idleMs !== undefined) framer.idle?.(onFrame, onReject);
    } catch (cause) {
      this.#give({ rejected: 'adapterError', detail: `the framer threw ${String(cause)}` });
      this.#clear();
    }
  }

  #give(answer: DecodedReading | Rejection): void {
    const checked = checkPart(answer);
    if (isRejection(checked)) this.lived.rejections.push(checked);
    else this.lived.readings.push({ atMs: this.timers.monoMs(), reading: complete(checked) });
  }
}

/** What happens within `spanMs` of a new session with this station. */
export function liveThrough(adapter: Adapter, station: Station, spanMs: number): Lived {
  const bench = new Bench(adapter, station, spanMs);
  bench.timers.pass(spanMs);
  bench.end();
  const { asks } = bench.lived;
  bench.timers.pass(spanMs);
  if (bench.lived.asks > asks) bench.lived.unlisted ??= 'it goes on asking after the link has closed';
  return bench.lived;
}
