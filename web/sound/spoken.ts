/**
 * Watts spoken every five seconds, for eyes that are busy too. What is said is the caller's words; nothing is said of a
 * reading that is old, and never two things at once.
 */
import { type Cell, cell, type ReadCell } from '../state/cell.ts';
import type { PageClock, TimerHandle } from '../state/page-clock.ts';

const EVERY_MS = 5_000;
const FRESH_MS = 4_000;

/** What of the browser's speech is used. */
export interface Speaks {
  readonly speaking: boolean;
  speak(text: string): void;
  cancel(): void;
}

export interface Spoken {
  readonly on: ReadCell<boolean>;
  /** Within a tap. */
  start(): void;
  stop(): void;
  /** @param ageMs how old it is already */
  reading(watts: number, ageMs: number): void;
  stale(): void;
}

/** @param say words for whole watts */
export function createSpoken(
  clock: Pick<PageClock, 'nowMs' | 'after'>,
  voice: Speaks,
  say: (watts: number) => string,
): Spoken {
  const on: Cell<boolean> = cell(false);
  let newest: { watts: number; takenMs: number } | null = null;
  let next: TimerHandle | null = null;
  const speak = (): void => {
    if (newest !== null && clock.nowMs() - newest.takenMs <= FRESH_MS && !voice.speaking)
      voice.speak(say(Math.round(newest.watts)));
    next = clock.after(EVERY_MS, speak);
  };
  return {
    on,
    start() {
      if (on.value) return;
      on.set(true);
      speak();
    },
    stop() {
      next?.cancel();
      next = null;
      voice.cancel();
      on.set(false);
    },
    reading(watts, ageMs) {
      newest = { watts, takenMs: clock.nowMs() - ageMs };
    },
    stale() {
      newest = null;
      voice.cancel();
    },
  };
}

/** The browser's own voice; null where it has none. @param lang of the words */
export function browserVoice(lang: string): Speaks | null {
  if (typeof speechSynthesis === 'undefined' || typeof SpeechSynthesisUtterance === 'undefined') return null;
  return {
    get speaking() {
      return speechSynthesis.speaking;
    },
    speak(text) {
      const said = new SpeechSynthesisUtterance(text);
      said.lang = lang;
      speechSynthesis.speak(said);
    },
    cancel: () => speechSynthesis.cancel(),
  };
}
