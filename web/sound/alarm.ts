/**
 * Tones with alarms, for those who look elsewhere: off until a tap on this page has allowed them. One short pattern a
 * call, by priority; below three seconds, so that nobody needs a way to stop it (WCAG 2.2, 1.4.2). Pitches and lengths:
 * common practice, no source.
 */
import type { WireAlarm } from '#messages';
import { cell } from '../state/cell.ts';
import { createVoice, type Voice } from './voice.ts';

const PATTERNS: Readonly<Record<WireAlarm['priority'], { hz: number; tones: number }>> = {
  high: { hz: 880, tones: 3 },
  medium: { hz: 660, tones: 2 },
  low: { hz: 520, tones: 1 },
};
const TONE_S = 0.15;
const APART_S = 0.3;
const AHEAD_S = 0.05;

let begun: { context: AudioContext; voice: Voice } | null = null;
export const soundIsOn = cell(false);
export const canSound = (): boolean => 'AudioContext' in globalThis;

/** Called within a tap: browsers allow no other beginning. Lets the owner hear what it will be. */
export function allowSound(): void {
  if (begun === null) {
    const context = new AudioContext();
    begun = { context, voice: createVoice(context) };
  }
  void begun.context.resume();
  soundIsOn.set(true);
  soundAlarm('low');
}

export function silenceAlarms(): void {
  soundIsOn.set(false);
  begun?.voice.hush();
}

export function soundAlarm(priority: WireAlarm['priority']): void {
  if (begun === null || !soundIsOn.value) return;
  const { hz, tones } = PATTERNS[priority];
  const from = begun.context.currentTime + AHEAD_S;
  for (let i = 0; i < tones; i++) begun.voice.play({ atS: from + i * APART_S, lengthS: TONE_S, hz, alsoHz: null });
}
