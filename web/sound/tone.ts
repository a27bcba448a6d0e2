/**
 * The tone of Aim, for hands that are busy: begins with a tap, follows each reading, falls silent at once when readings
 * stop (one low cue, never a tone that stands), and ends by itself after ten minutes. Pulses are scheduled 50 ms ahead.
 */
import { type Cell, cell, type ReadCell } from '../state/cell.ts';
import type { PageClock, TimerHandle } from '../state/page-clock.ts';
import { createPulses } from './pulses.ts';
import { createVoice, type Voice } from './voice.ts';

export type ToneState =
  | 'off'
  /** Begun; no reading yet. */
  | 'waiting'
  | 'sounding'
  /** Readings stopped; it sounds again with the next. */
  | 'lost'
  /** Stopped by itself after ten minutes. */
  | 'ended'
  /** This browser gives no sound. */
  | 'unheard';

export interface Tone {
  readonly state: ReadCell<ToneState>;
  /** Within a tap: browsers give no sound to a page that nobody touched. */
  start(): void;
  stop(): void;
  /** @param ageMs how old it is already */
  reading(watts: number, ageMs: number): void;
  /** The page took the readings for stopped. */
  stale(): void;
}

const AHEAD_S = 0.05;
const TICK_MS = 20;
const ENDS_AFTER_MS = 600_000;
/** Silent for longer than this, and than twice what lies between readings, is lost. */
const LOST_AFTER_MS = 2_500;
const LOST_AFTER_INTERVALS = 2;
const LOST_AT_MOST_MS = 25_000;
const VIBRATES_MS = 30;

/**
 * @param openAudio gives a new context; throws where there is none
 * @param vibrate felt when the best is reached; nothing where the device cannot
 */
export function createTone(
  clock: Pick<PageClock, 'nowMs' | 'after'>,
  openAudio: () => AudioContext,
  vibrate: (ms: number) => void = () => undefined,
): Tone {
  const state: Cell<ToneState> = cell<ToneState>('off');
  const pulses = createPulses();
  let on: { context: AudioContext; voice: Voice; startedMs: number } | null = null;
  let tick: TimerHandle | null = null;
  let heardMs = Number.NEGATIVE_INFINITY;
  let intervalMs = 0;
  let wasBest = false;

  const lostAfterMs = (): number =>
    Math.min(LOST_AT_MOST_MS, Math.max(LOST_AFTER_MS, LOST_AFTER_INTERVALS * intervalMs));

  const lose = (): void => {
    if (on === null || state.value !== 'sounding') return;
    pulses.silence();
    on.voice.hush();
    on.voice.lost();
    state.set('lost');
  };

  const end = (as: ToneState): void => {
    tick?.cancel();
    tick = null;
    if (on !== null) {
      pulses.silence();
      on.voice.hush();
      const { context } = on;
      // Closed at once it would click.
      clock.after(TICK_MS, () => void context.close().catch(() => undefined));
    }
    on = null;
    state.set(as);
  };

  const schedule = (): void => {
    if (on === null) return;
    const now = clock.nowMs();
    if (now - on.startedMs >= ENDS_AFTER_MS) {
      end('ended');
      return;
    }
    if (now - heardMs > lostAfterMs()) lose();
    const { currentTime } = on.context;
    for (const pulse of pulses.until(currentTime + AHEAD_S, currentTime)) on.voice.play(pulse);
    tick = clock.after(TICK_MS, schedule);
  };

  return {
    state,
    start() {
      if (on !== null) return;
      let context: AudioContext;
      try {
        context = openAudio();
      } catch {
        state.set('unheard');
        return;
      }
      void context.resume().catch(() => undefined);
      on = { context, voice: createVoice(context), startedMs: clock.nowMs() };
      [heardMs, intervalMs, wasBest] = [Number.NEGATIVE_INFINITY, 0, false];
      state.set('waiting');
      schedule();
    },
    stop: () => end('off'),
    reading(watts, ageMs) {
      if (on === null || ageMs > lostAfterMs()) return;
      const takenMs = clock.nowMs() - ageMs;
      if (takenMs - heardMs < LOST_AT_MOST_MS) intervalMs = takenMs - heardMs;
      heardMs = takenMs;
      pulses.reading(watts, on.context.currentTime);
      const best = pulses.nearBest();
      if (best && !wasBest) vibrate(VIBRATES_MS);
      wasBest = best;
      state.set('sounding');
      // Heard without waiting for the next tick.
      const { currentTime } = on.context;
      for (const pulse of pulses.until(currentTime + AHEAD_S, currentTime)) on.voice.play(pulse);
    },
    stale: lose,
  };
}

/** The browser's own sound and vibration. */
export const browserTone = (clock: Pick<PageClock, 'nowMs' | 'after'>): Tone =>
  createTone(
    clock,
    () => new AudioContext({ latencyHint: 'interactive' }),
    ms => navigator.vibrate?.(ms),
  );
