/**
 * A byte written into the pseudo-terminal until the pulse that says it begins to sound by the audio clock, ms: Aim in
 * Chromium with its tone on, five readings a second. What the sound card adds after that is the browser's own estimate,
 * told beside it. Clocks are compared before each round, as for `painted`.
 */
import { setTimeout as pause } from 'node:timers/promises';
import type { Page } from 'playwright-core';
import { pitchOf } from '../../web/sound/pulses.ts';
import { chromiumPath, HOW_TO_GET_CHROMIUM, launchWholeChromium } from '../support/browser.ts';
import { atMost, type Bench, type Figure, unmeasured } from './figure.ts';
import { aheadMs, ownNowMs } from './painted.ts';
import { hasProgram } from './places.ts';
import { ofRounds } from './samples.ts';
import { agentRoad, type Road } from './wire-road.ts';

const ROUNDS = 6;
const READINGS = 40;
const HZ = 5;
const ALLOWED_MS = 150;
const BEST_W = 900;
/** Steps far enough apart that each is heard at once, and told from each other by their pitch. */
const STEPS_W = [180, 540, 270, 720, 360, 630, 225, 450] as const;
const SAME_PITCH = 0.01;

interface Begun {
  hz: number;
  atMs: number;
  cardMs: number;
}
type Watching = typeof globalThis & { begun: Begun[] };

const lineOf = (watts: number): string => `{"inputPowerW":${watts},"outputPowerW":41,"stateOfChargePct":52}\n`;

/** Runs in the page before its scripts: notes when each oscillator was told to begin, by the page's own clock. */
function watchOscillators(): void {
  const page = globalThis as Watching;
  page.begun = [];
  const start = OscillatorNode.prototype.start;
  OscillatorNode.prototype.start = function (when?: number) {
    const context = this.context as AudioContext;
    const inMs = Math.max(0, (when ?? 0) - context.currentTime) * 1000;
    page.begun.push({
      hz: this.frequency.value,
      atMs: performance.timeOrigin + performance.now() + inMs,
      cardMs: (context.baseLatency + (context.outputLatency || 0)) * 1000,
    });
    start.call(this, when);
  };
}

async function openTone(road: Road, page: Page): Promise<void> {
  await page.addInitScript(watchOscillators);
  await page.goto(`${road.served.url}aim`);
  // The agent's link may open after its address is told, and what is written before that is lost: said until it is shown.
  const saying = setInterval(() => road.pty.write(lineOf(BEST_W)), 500);
  try {
    await page
      .locator('aim-figure .digits')
      .filter({ hasText: String(BEST_W) })
      .waitFor();
    await page.getByRole('button', { name: 'Tone', exact: true }).click();
    await page.waitForFunction(() => (globalThis as Watching).begun.length > 0);
  } finally {
    clearInterval(saying);
  }
}

/** One round: ms from each line to the pulse of its pitch, and what the sound card adds. */
async function round(road: Road, page: Page): Promise<{ ms: number[]; cardMs: number }> {
  const ahead = await aheadMs(page);
  await page.evaluate(() => {
    (globalThis as Watching).begun.length = 0;
  });
  const sent: { watts: number; atMs: number }[] = [];
  for (let i = 0; i < READINGS; i++) {
    const watts = STEPS_W[i % STEPS_W.length]!;
    sent.push({ watts, atMs: ownNowMs() });
    road.pty.write(lineOf(watts));
    // Not in step with the ticks of the tone.
    await pause(1000 / HZ + (Math.random() - 0.5) * 16);
  }
  await pause(2 * ALLOWED_MS);
  const begun = await page.evaluate(() => (globalThis as Watching).begun);
  const ms = sent.flatMap(({ watts, atMs }, i) => {
    const hz = pitchOf(watts / BEST_W);
    const untilMs = sent[i + STEPS_W.length - 1]?.atMs ?? Number.POSITIVE_INFINITY;
    const heard = begun.find(
      b => b.atMs - ahead > atMs && b.atMs - ahead < untilMs && Math.abs(b.hz / hz - 1) < SAME_PITCH,
    );
    return heard === undefined ? [] : [heard.atMs - ahead - atMs];
  });
  return { ms, cardMs: begun.at(-1)?.cardMs ?? Number.NaN };
}

function figuresOf(rounds: { ms: number[]; cardMs: number }[]): Figure[] {
  const all = rounds.map(({ ms }) => ms);
  const heard = all.reduce((sum, ms) => sum + ms.length, 0);
  const samples = `${ROUNDS} rounds, ${heard} of ${ROUNDS * READINGS} heard`;
  return [
    { name: 'reading → pulse begins, p50', unit: 'ms', value: ofRounds(all, 0.5), samples },
    { name: 'reading → pulse begins, p95', unit: 'ms', value: ofRounds(all, 0.95), goal: atMost(ALLOWED_MS), samples },
    { name: 'the sound card after that, as the browser says', unit: 'ms', value: rounds.at(-1)!.cardMs },
  ];
}

export const tone: Bench = {
  name: 'tone',
  title: 'Tone: byte into the pseudo-terminal → pulse that says it, in Chromium',
  async run(say) {
    const missing = !hasProgram('socat') ? 'socat is missing' : chromiumPath() === null ? HOW_TO_GET_CHROMIUM : null;
    if (missing !== null) return [unmeasured('reading → pulse begins', missing)];
    const road = await agentRoad();
    const browser = await launchWholeChromium();
    try {
      const page = await browser.newPage();
      await openTone(road, page);
      await round(road, page);
      say(`${ROUNDS} rounds of ${READINGS} readings`);
      const rounds: { ms: number[]; cardMs: number }[] = [];
      for (let i = 0; i < ROUNDS; i++) rounds.push(await round(road, page));
      return figuresOf(rounds);
    } finally {
      await browser.close();
      await road.end();
    }
  },
};
