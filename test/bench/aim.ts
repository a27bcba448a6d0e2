/**
 * A byte written into the pseudo-terminal until its watts stand as Aim's figure in a painted frame, ms, five readings a
 * second on a processor four times slower: a phone in the yard. Clocks are compared before each round, as for `painted`.
 */
import { setTimeout as pause } from 'node:timers/promises';
import type { Page } from 'playwright-core';
import { chromiumPath, HOW_TO_GET_CHROMIUM, launchChromium } from '../support/browser.ts';
import { atMost, type Bench, type Figure, unmeasured } from './figure.ts';
import { aheadMs, ownNowMs } from './painted.ts';
import { hasProgram } from './places.ts';
import { ofRounds } from './samples.ts';
import { agentRoad, type Road } from './wire-road.ts';

const ROUNDS = 6;
const READINGS = 50;
const HZ = 5;
const THROTTLE = 4;
const ALLOWED_MS = 300;
const PHONE = { viewport: { width: 390, height: 844 } };

interface Seen {
  text: string;
  paintedMs: number;
}
type Watching = typeof globalThis & { seen: Seen[] };

const lineOf = (watts: number): string => `{"inputPowerW":${watts},"outputPowerW":41,"stateOfChargePct":52}\n`;

/** Runs in the page: notes when each new text of the figure was painted, by the page's own clock. */
function watchFigure(): void {
  const view = document.querySelector('aim-view')!.shadowRoot!;
  const figure = view.querySelector('aim-figure')!.shadowRoot!;
  const page = globalThis as Watching;
  page.seen = [];
  new MutationObserver(() => {
    const text = figure.querySelector('.digits')!.textContent!;
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.onmessage = () => {
        page.seen.push({ text, paintedMs: performance.timeOrigin + performance.now() });
      };
      after.port2.postMessage(null);
    });
  }).observe(figure, { subtree: true, childList: true, characterData: true });
}

async function openAim(road: Road, page: Page): Promise<void> {
  await page.goto(`${road.served.url}aim`);
  // The agent's link may open after its address is told, and what is written before that is lost: said until it is shown.
  const saying = setInterval(() => road.pty.write(lineOf(100)), 500);
  try {
    await page.locator('aim-figure .digits').filter({ hasText: '100' }).waitFor();
  } finally {
    clearInterval(saying);
  }
  await page.evaluate(watchFigure);
  const devtools = await page.context().newCDPSession(page);
  await devtools.send('Emulation.setCPUThrottlingRate', { rate: THROTTLE });
}

/** One round: ms from each line to its painted figure. */
async function round(road: Road, page: Page, from: number): Promise<number[]> {
  const ahead = await aheadMs(page);
  await page.evaluate(() => {
    (globalThis as Watching).seen.length = 0;
  });
  const sentMs = new Map<string, number>();
  for (let i = 0; i < READINGS; i++) {
    const watts = 101 + ((from + i) % 898);
    sentMs.set(String(watts), ownNowMs());
    road.pty.write(lineOf(watts));
    // Not in step with the frames.
    await pause(1000 / HZ + (Math.random() - 0.5) * 16);
  }
  await pause(2 * ALLOWED_MS);
  const seen = await page.evaluate(() => (globalThis as Watching).seen);
  return seen.flatMap(({ text, paintedMs }) => (sentMs.has(text) ? [paintedMs - ahead - sentMs.get(text)!] : []));
}

function figuresOf(rounds: number[][]): Figure[] {
  const seen = rounds.reduce((sum, taken) => sum + taken.length, 0);
  const samples = `${ROUNDS} rounds, ${seen} of ${ROUNDS * READINGS} seen`;
  const name = (words: string) => `reading → painted figure at ${HZ} Hz, ${words}`;
  return [
    { name: name('p50'), unit: 'ms', value: ofRounds(rounds, 0.5), samples },
    { name: name('p95'), unit: 'ms', value: ofRounds(rounds, 0.95), goal: atMost(ALLOWED_MS), samples },
  ];
}

export const aim: Bench = {
  name: 'aim',
  title: `Aim: byte into the pseudo-terminal → painted figure, at ${THROTTLE} × CPU throttle`,
  async run(say) {
    const missing = !hasProgram('socat') ? 'socat is missing' : chromiumPath() === null ? HOW_TO_GET_CHROMIUM : null;
    if (missing !== null) return [unmeasured('reading → painted figure', missing)];
    const road = await agentRoad();
    const browser = await launchChromium();
    try {
      const page = await browser.newPage(PHONE);
      await openAim(road, page);
      await round(road, page, 0);
      say(`${ROUNDS} rounds of ${READINGS} readings`);
      const rounds: number[][] = [];
      for (let i = 1; i <= ROUNDS; i++) rounds.push(await round(road, page, i * READINGS));
      return figuresOf(rounds);
    } finally {
      await browser.close();
      await road.end();
    }
  },
};
