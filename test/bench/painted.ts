/**
 * A byte written into the pseudo-terminal until its value stands in a painted frame of Chromium, ms. In the page an
 * observer of the shown number waits for the next frame and for the task after it (painted), and for the frame after
 * that (an upper bound). The two clocks are compared before each round, right to about half a millisecond.
 */
import { setTimeout as pause } from 'node:timers/promises';
import type { Page } from 'playwright-core';
import { chromiumPath, HOW_TO_GET_CHROMIUM, launchWholeChromium } from '../support/browser.ts';
import { type Bench, type Figure, unmeasured } from './figure.ts';
import { hasProgram } from './places.ts';
import { ofRounds, takeTurns } from './samples.ts';
import { agentRoad, bareRoad, lineOf, type Road } from './wire-road.ts';

const ROUNDS = 8;
const LINES = 50;
const COMPARISONS = 30;

type Seen = { watts: number; paintedMs: number; nextFrameMs: number };
type Watching = typeof globalThis & { seen: Seen[] };

/** Runs in the page: notes when each new number of the row was painted, by the page's own clock. */
function watchNumber(): void {
  const deep = (root: Document | ShadowRoot): Element[] =>
    [...root.querySelectorAll('*')].flatMap(e => [e, ...(e.shadowRoot === null ? [] : deep(e.shadowRoot))]);
  const row = deep(document).find(e => e.matches('tr') && e.querySelector('th')?.textContent === 'going out');
  const cell = row?.querySelector('td');
  if (!cell) throw new Error('the page shows no row called going out');
  const page = globalThis as Watching;
  page.seen = [];
  const nowMs = () => performance.timeOrigin + performance.now();
  let last = Number.NaN;
  new MutationObserver(() => {
    const watts = Number.parseFloat((cell.textContent ?? '').replace(/[^0-9.]/g, ''));
    if (watts === last) return;
    last = watts;
    requestAnimationFrame(() => {
      const seen = { watts, paintedMs: Number.NaN, nextFrameMs: Number.NaN };
      const afterFrame = new MessageChannel();
      afterFrame.port1.onmessage = () => {
        seen.paintedMs = nowMs();
      };
      afterFrame.port2.postMessage(null);
      requestAnimationFrame(() => {
        seen.nextFrameMs = nowMs();
        page.seen.push(seen);
      });
    });
  }).observe(row!.getRootNode(), { subtree: true, childList: true, characterData: true });
}

/** Our own clock, in the page's terms. */
export const ownNowMs = () => performance.timeOrigin + performance.now();

/** How far the page's clock is ahead of ours, ms: by the comparison with the shortest round trip. */
export async function aheadMs(page: Page): Promise<number> {
  let best = { tripMs: Number.POSITIVE_INFINITY, ahead: 0 };
  for (let i = 0; i < COMPARISONS; i++) {
    const askedMs = ownNowMs();
    const theirs = await page.evaluate(() => performance.timeOrigin + performance.now());
    const tripMs = ownNowMs() - askedMs;
    if (tripMs < best.tripMs) best = { tripMs, ahead: theirs - (askedMs + tripMs / 2) };
  }
  return best.ahead;
}

interface Round {
  painted: number[];
  nextFrame: number[];
}

function screenOf(road: Road, page: Page) {
  let last = 100;
  return async (): Promise<Round> => {
    const ahead = await aheadMs(page);
    await page.evaluate(() => {
      (globalThis as Watching).seen.length = 0;
    });
    const sentMs = new Map<number, number>();
    for (let i = 0; i < LINES; i++) {
      last = last >= 999 ? 100 : last + 1;
      sentMs.set(last, ownNowMs());
      road.pty.write(lineOf(last));
      // Not in step with the frames.
      await pause(70 + Math.random() * 35);
    }
    await pause(300);
    const seen = await page.evaluate(() => (globalThis as Watching).seen);
    const known = seen.filter(({ watts }) => sentMs.has(watts));
    return {
      painted: known.map(s => s.paintedMs - ahead - sentMs.get(s.watts)!),
      nextFrame: known.map(s => s.nextFrameMs - ahead - sentMs.get(s.watts)!),
    };
  };
}

async function openScreen(road: Road, page: Page): Promise<() => Promise<Round>> {
  await page.goto(road.served.url);
  // The agent's link may open after its address is told, and what is written before that is lost: said until it is shown.
  const saying = setInterval(() => road.pty.write(lineOf(100)), 500);
  try {
    await page.waitForFunction(() => {
      const deep = (root: Document | ShadowRoot): Element[] =>
        [...root.querySelectorAll('*')].flatMap(e => [e, ...(e.shadowRoot === null ? [] : deep(e.shadowRoot))]);
      const row = deep(document).find(e => e.matches('tr') && e.querySelector('th')?.textContent === 'going out');
      return /100/.test(row?.querySelector('td')?.textContent ?? '');
    });
  } finally {
    clearInterval(saying);
  }
  await page.evaluate(watchNumber);
  return screenOf(road, page);
}

function figuresOf(agent: Round[], bare: Round[]): Figure[] {
  const seen = agent.reduce((sum, round) => sum + round.painted.length, 0);
  const samples = `${ROUNDS} rounds, ${seen} of ${ROUNDS * LINES} seen`;
  const floorIs = 'as many processes, a page of one number';
  const figure = (words: string, key: keyof Round, p: number): Figure => ({
    name: `pty → ${words}`,
    unit: 'ms',
    value: ofRounds(
      agent.map(round => round[key]),
      p,
    ),
    floor: ofRounds(
      bare.map(round => round[key]),
      p,
    ),
    floorIs,
    samples,
  });
  return [
    figure('painted frame, p50', 'painted', 0.5),
    figure('painted frame, p95', 'painted', 0.95),
    figure('frame after it, p50', 'nextFrame', 0.5),
    figure('frame after it, p95', 'nextFrame', 0.95),
  ];
}

export const painted: Bench = {
  name: 'painted',
  title: 'Latency: byte into the pseudo-terminal → painted frame in Chromium',
  async run(say) {
    const missing = !hasProgram('socat') ? 'socat is missing' : chromiumPath() === null ? HOW_TO_GET_CHROMIUM : null;
    if (missing !== null) return [unmeasured('pty → painted frame', missing)];
    const roads = [await agentRoad(), await bareRoad('three')] as const;
    // A browser each: a page in the background would get no frames.
    const browsers = [await launchWholeChromium(), await launchWholeChromium()] as const;
    try {
      const size = { viewport: { width: 1280, height: 800 } };
      const agent = await openScreen(roads[0], await browsers[0].newPage(size));
      const bare = await openScreen(roads[1], await browsers[1].newPage(size));
      await agent();
      await bare();
      say(`${ROUNDS} rounds of ${LINES} lines on each of two pages`);
      const taken = await takeTurns(ROUNDS, { agent, bare });
      return figuresOf(taken.agent, taken.bare);
    } finally {
      for (const browser of browsers) await browser.close();
      for (const road of roads) await road.end();
    }
  },
};
