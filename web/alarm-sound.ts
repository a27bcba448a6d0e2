/**
 * Tones for those who look elsewhere: off until a tap on this page has allowed them. One short pattern a call, by
 * priority; below three seconds, so that nobody needs a way to stop it (WCAG 2.2, 1.4.2). Pitches: common practice.
 */
import type { WireAlarm } from '#messages';
import { cell } from './state/cell.ts';

const PATTERNS: Readonly<Record<WireAlarm['priority'], { hz: number; tones: number }>> = {
  high: { hz: 880, tones: 3 },
  medium: { hz: 660, tones: 2 },
  low: { hz: 520, tones: 1 },
};
const TONE_S = 0.15;
const APART_S = 0.3;
/** Without a ramp a tone begins and ends with a click. */
const RAMP_S = 0.02;
const LOUDNESS = 0.25;

let context: AudioContext | null = null;
export const soundIsOn = cell(false);

/** Called within a tap: browsers allow no other beginning. Lets the owner hear what it will be. */
export function allowSound(): void {
  context ??= new AudioContext();
  void context.resume();
  soundIsOn.set(true);
  sound('low');
}

export function silenceSound(): void {
  soundIsOn.set(false);
  void context?.suspend();
}

export function sound(priority: WireAlarm['priority']): void {
  if (context === null || !soundIsOn.value) return;
  const { hz, tones } = PATTERNS[priority];
  for (let i = 0; i < tones; i++) tone(context, hz, context.currentTime + 0.05 + i * APART_S);
}

function tone(on: AudioContext, hz: number, atS: number): void {
  const oscillator = new OscillatorNode(on, { frequency: hz });
  const loudness = new GainNode(on, { gain: 0 });
  loudness.gain.setValueAtTime(0, atS);
  loudness.gain.linearRampToValueAtTime(LOUDNESS, atS + RAMP_S);
  loudness.gain.setValueAtTime(LOUDNESS, atS + TONE_S - RAMP_S);
  loudness.gain.linearRampToValueAtTime(0, atS + TONE_S);
  oscillator.connect(loudness).connect(on.destination);
  oscillator.start(atS);
  oscillator.stop(atS + TONE_S);
}
