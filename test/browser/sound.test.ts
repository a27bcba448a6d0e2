import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { pitchOf, rateOf } from '../../web/sound/pulses.ts';
import { hasChromium, launchChromium } from '../support/browser.ts';
import { type Heard, pulsesIn, withSound } from '../support/sound-page.ts';

const SAMPLE_RATE = 22_050;
const BEST_W = 400;
const WITHIN = 0.03;

interface Course {
  readonly seconds: number;
  readonly everyS: number;
  /** From here on no reading comes. */
  readonly readingsEndS: number;
  readonly stopAtS?: number;
  /** Watts go from the first to the second in a straight line over all of it, after the best was heard once. */
  readonly fromW: number;
  readonly toW: number;
}

/** Lives through a course in the page with the real tone on a context that renders, a tick of its clock every 20 ms. */
async function render(page: Page, course: Course): Promise<{ heard: Heard[]; states: string[] }> {
  const { samples, states } = await page.evaluate(
    async ({ course, sampleRate, bestW }) => {
      const { sound } = globalThis as unknown as { sound: typeof import('../../web/sound/tone.ts') };
      const tickS = 0.02;
      const context = new OfflineAudioContext(1, Math.ceil(course.seconds * sampleRate), sampleRate);
      let nowMs = 0;
      let timers: { dueMs: number; call: () => void }[] = [];
      const clock = {
        nowMs: () => nowMs,
        after(delayMs: number, call: () => void) {
          const timer = { dueMs: nowMs + delayMs, call };
          timers.push(timer);
          return {
            cancel() {
              timers = timers.filter(t => t !== timer);
            },
          };
        },
      };
      const live = {
        get currentTime() {
          return context.currentTime;
        },
        destination: context.destination,
        createGain: () => context.createGain(),
        createOscillator: () => context.createOscillator(),
        resume: async () => undefined,
        close: async () => undefined,
      };
      const tone = sound.createTone(clock, () => live as unknown as AudioContext);
      const states: string[] = [];
      tone.state.listen(() => states.push(tone.state.value));
      tone.start();
      tone.reading(bestW, 0);
      const everyTicks = Math.round(course.everyS / tickS);
      const step = (k: number): void => {
        void context.suspend(k * tickS).then(() => {
          nowMs = k * tickS * 1000;
          const atS = k * tickS;
          if (k % everyTicks === 0 && atS < course.readingsEndS)
            tone.reading(course.fromW + ((course.toW - course.fromW) * atS) / course.seconds, 0);
          if (course.stopAtS !== undefined && Math.abs(atS - course.stopAtS) < tickS / 2) tone.stop();
          const due = timers.filter(t => t.dueMs <= nowMs + 0.001);
          timers = timers.filter(t => !due.includes(t));
          for (const timer of due) timer.call();
          if ((k + 1) * tickS < course.seconds - 0.01) step(k + 1);
          void context.resume();
        });
      };
      step(1);
      const rendered = await context.startRendering();
      return { samples: Array.from(rendered.getChannelData(0), x => Math.round(x * 32_767)), states };
    },
    { course, sampleRate: SAMPLE_RATE, bestW: BEST_W },
  );
  return {
    heard: pulsesIn(
      Float32Array.from(samples, x => x / 32_767),
      SAMPLE_RATE,
    ),
    states,
  };
}

describe.skipIf(!hasChromium())('the tone, rendered by a browser', () => {
  let browser: Browser;
  let page: Page;
  beforeAll(async () => {
    browser = await launchChromium();
    page = await browser.newPage();
    await withSound(page);
  });
  afterAll(() => browser.close());

  it('pulses faster and higher along a known ramp, both within 3 %', async () => {
    const course = { seconds: 40, everyS: 0.2, readingsEndS: 40, fromW: 20, toW: 380 };
    const { heard } = await render(page, course);
    const shareAt = (s: number) => (course.fromW + ((course.toW - course.fromW) * s) / course.seconds) / BEST_W;
    // What begins it is no part of the ramp.
    const on = heard.filter(pulse => pulse.atS > 2.5);
    expect(on.length).toBeGreaterThan(100);
    for (const { atS, hz } of on) expect(Math.abs(hz / pitchOf(shareAt(atS)) - 1)).toBeLessThan(WITHIN);
    for (let k = 1; k < on.length; k++) {
      const [a, b] = [on[k - 1]!.atS, on[k]!.atS];
      expect(Math.abs(1 / (b - a) / rateOf(shareAt((a + b) / 2)) - 1)).toBeLessThan(WITHIN);
    }
  }, 180_000);

  it('falls silent when readings stop, but for one low cue; no tone is left standing', async () => {
    const { heard, states } = await render(page, { seconds: 12, everyS: 0.2, readingsEndS: 4, fromW: 300, toW: 300 });
    const lastReadingS = 3.8;
    const cue = heard.filter(pulse => pulse.atS > lastReadingS + 2.5);
    expect(heard.filter(pulse => pulse.atS < lastReadingS).length).toBeGreaterThan(15);
    expect(cue.length).toBeGreaterThan(0);
    expect(cue.length).toBeLessThanOrEqual(2);
    for (const { hz } of cue) expect(hz).toBeLessThan(400);
    expect(heard.filter(pulse => pulse.atS > lastReadingS + 3.1)).toEqual([]);
    expect(states).toEqual(['waiting', 'sounding', 'lost']);
  });

  it('stops at once by the button', async () => {
    const { heard } = await render(page, {
      seconds: 5,
      everyS: 0.2,
      readingsEndS: 5,
      fromW: 390,
      toW: 390,
      stopAtS: 3,
    });
    expect(heard.at(-1)!.atS).toBeLessThan(3.02);
    expect(heard.filter(pulse => pulse.atS > 2).length).toBeGreaterThan(6);
  });
});
