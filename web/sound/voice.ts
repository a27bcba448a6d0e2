/**
 * Pulses as sound: oscillators and gains only, which every browser gives to a page on plain HTTP as well. A triangle has
 * overtones enough for a small speaker. Works on a live context and on one that renders.
 */
import type { Pulse } from './pulses.ts';

const RISE_S = 0.004;
const FALL_S = 0.008;
const LOUD = 0.5;
const ALONG = 0.25;
const HUSH_S = 0.008;
/** Low for a small speaker, and lower still: gone. */
const LOST_HZ = [330, 247] as const;
const LOST_NOTE_S = 0.18;

export interface Voice {
  play(pulse: Pulse): void;
  /** The cue for readings that stopped. */
  lost(): void;
  /** Silence within some milliseconds, also of what was to come. */
  hush(): void;
}

export function createVoice(context: BaseAudioContext): Voice {
  let out: GainNode | null = null;
  const through = (): GainNode => {
    if (out !== null) return out;
    out = context.createGain();
    out.connect(context.destination);
    return out;
  };

  const note = (atS: number, lengthS: number, hz: number, loud: number): void => {
    const oscillator = context.createOscillator();
    const gain = context.createGain();
    oscillator.type = 'triangle';
    oscillator.frequency.value = hz;
    gain.gain.setValueAtTime(0, atS);
    gain.gain.linearRampToValueAtTime(loud, atS + RISE_S);
    gain.gain.setValueAtTime(loud, Math.max(atS + RISE_S, atS + lengthS - FALL_S));
    gain.gain.linearRampToValueAtTime(0, atS + lengthS);
    oscillator.connect(gain).connect(through());
    oscillator.start(atS);
    oscillator.stop(atS + lengthS + FALL_S);
    oscillator.onended = () => gain.disconnect();
  };

  const hush = (): void => {
    if (out === null) return;
    const gone = out;
    out = null;
    const now = context.currentTime;
    gone.gain.setValueAtTime(1, now);
    gone.gain.linearRampToValueAtTime(0, now + HUSH_S);
    // What is scheduled later plays into a gain that stays at nought.
  };

  return {
    play({ atS, lengthS, hz, alsoHz }) {
      note(atS, lengthS, hz, LOUD);
      if (alsoHz !== null) note(atS, lengthS, alsoHz, ALONG);
    },
    lost() {
      const from = context.currentTime + 2 * HUSH_S;
      for (const [k, hz] of LOST_HZ.entries()) note(from + k * LOST_NOTE_S, LOST_NOTE_S, hz, LOUD);
    },
    hush,
  };
}
