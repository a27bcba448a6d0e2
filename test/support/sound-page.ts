/** The sound's modules in a page of a real Chromium, put there as one script: `sound` is theirs. */
import { build } from 'esbuild';
import type { Page } from 'playwright-core';
import { ROOT } from '../house/rooms.ts';

const ENTRY = `
  export { createPulses, rateOf, pitchOf } from './web/sound/pulses.ts';
  export { createVoice } from './web/sound/voice.ts';
  export { createTone, browserTone } from './web/sound/tone.ts';
`;

/** Puts them there. */
export async function withSound(page: Page): Promise<void> {
  const { outputFiles } = await build({
    stdin: { contents: ENTRY, resolveDir: ROOT, loader: 'ts' },
    bundle: true,
    write: false,
    format: 'iife',
    globalName: 'sound',
    conditions: ['source'],
  });
  // Evaluated, not added as an element: the agent's own pages allow no inline script.
  await page.evaluate(`${outputFiles[0]!.text}; globalThis.sound = sound;`);
}

export interface Heard {
  readonly atS: number;
  /** By zero crossings. */
  readonly hz: number;
}

/** Silence between pulses is at least this. */
const QUIET_S = 0.01;
const LOUD = 0.02;

/** Pulses in rendered samples: where each begins, and its pitch by its upward zero crossings. */
export function pulsesIn(samples: Float32Array, sampleRate: number): Heard[] {
  const heard: Heard[] = [];
  const quiet = QUIET_S * sampleRate;
  let from = -1;
  let last = 0;
  for (let k = 0; k <= samples.length; k++) {
    const loud = k < samples.length && Math.abs(samples[k]!) > LOUD;
    if (loud) {
      if (from < 0) from = k;
      last = k;
    } else if (from >= 0 && (k - last > quiet || k === samples.length)) {
      heard.push({ atS: from / sampleRate, hz: pitchBetween(samples, from, last, sampleRate) });
      from = -1;
    }
  }
  return heard;
}

function pitchBetween(samples: Float32Array, from: number, to: number, sampleRate: number): number {
  const crossings: number[] = [];
  for (let k = from + 1; k <= to; k++) {
    const [a, b] = [samples[k - 1]!, samples[k]!];
    if (a < 0 && b >= 0) crossings.push(k - 1 + a / (a - b));
  }
  return ((crossings.length - 1) * sampleRate) / (crossings.at(-1)! - crossings[0]!);
}
