/**
 * What the page weighs (everything loaded for `/` as the server sends it to a browser, fonts apart) and when it first
 * paints on a processor four times slower, beside a page that says hello from the same server.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { get } from 'node:http';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import type { Browser } from 'playwright-core';
import { chromiumPath, HOW_TO_GET_CHROMIUM, launchWholeChromium } from '../support/browser.ts';
import { freshHome, serve, serveAgent } from './agent.ts';
import { atMost, atMostTimes, type Bench, type Figure, unmeasured } from './figure.ts';
import { benchChild } from './places.ts';
import { median, takeTurns } from './samples.ts';

const ROUNDS = 15;
const THROTTLE = 4;
const ALLOWED_KB = 60;
const SETTLE_MS = 3_000;

/** Bytes of the body as sent to a client that takes brotli. */
const sentBytes = (url: string): Promise<number> =>
  new Promise((resolve, reject) => {
    get(url, { headers: { 'accept-encoding': 'br' } }, response => {
      let bytes = 0;
      response.on('data', (chunk: Buffer) => {
        bytes += chunk.length;
      });
      response.on('end', () => resolve(bytes));
    }).on('error', reject);
  });

interface Weight {
  kind: string;
  path: string;
  bytes: number;
}

async function weigh(browser: Browser, url: string): Promise<Weight[]> {
  const context = await browser.newContext();
  const page = await context.newPage();
  const asked = new Map<string, string>();
  page.on('request', request => asked.set(request.url(), request.resourceType()));
  await page.goto(url);
  await page.locator('h1:not(.wait)').first().waitFor();
  await pause(SETTLE_MS);
  await context.close();
  const weights: Weight[] = [];
  for (const [address, type] of asked) {
    const path = new URL(address).pathname;
    weights.push({ kind: path.startsWith('/api/') ? 'answer' : type, path, bytes: await sentBytes(address) });
  }
  return weights;
}

/**
 * First contentful paint of one load in a context of its own, ms. Nothing is asked of the page before that frame was
 * shown: a question would be compiled and run in front of it, in the slower of the two pages more often.
 */
async function firstPaintMs(browser: Browser, url: string): Promise<number> {
  const context = await browser.newContext();
  const page = await context.newPage();
  const devtools = await context.newCDPSession(page);
  await devtools.send('Page.enable');
  await devtools.send('Page.setLifecycleEventsEnabled', { enabled: true });
  await devtools.send('Emulation.setCPUThrottlingRate', { rate: THROTTLE });
  // The empty page a context begins with paints nothing with content in it.
  const shown = new Promise<void>(resolve => {
    devtools.on('Page.lifecycleEvent', ({ name }) => {
      if (name === 'firstContentfulPaint') resolve();
    });
  });
  await page.goto(url, { waitUntil: 'commit' });
  await shown;
  const ms = await page.evaluate(() => performance.getEntriesByName('first-contentful-paint')[0]!.startTime);
  await context.close();
  return ms;
}

function weightFigures(weights: readonly Weight[]): Figure[] {
  const kB = (of: (weight: Weight) => boolean) =>
    weights.filter(of).reduce((sum, weight) => sum + weight.bytes, 0) / 1000;
  const isPage = ({ kind }: Weight) => kind !== 'font' && kind !== 'answer' && kind !== 'websocket';
  const parts = weights.filter(isPage).sort((a, b) => b.bytes - a.bytes);
  const note = parts.map(({ path, bytes }) => `${path} ${(bytes / 1000).toFixed(1)}`).join(', ');
  return [
    {
      name: 'weight of / without fonts',
      unit: 'kB',
      value: kB(isPage),
      goal: atMost(ALLOWED_KB),
      samples: `${parts.length} files`,
      note,
    },
    { name: 'fonts', unit: 'kB', value: kB(w => w.kind === 'font') },
    { name: 'answers of the record it asks for', unit: 'kB', value: kB(w => w.kind === 'answer') },
  ];
}

export const page: Bench = {
  name: 'page',
  title: `Page: weight, and first contentful paint at ${THROTTLE} × CPU throttle`,
  async run(say) {
    if (chromiumPath() === null) return [unmeasured('page', HOW_TO_GET_CHROMIUM)];
    const home = freshHome();
    const site = mkdtempSync(join(tmpdir(), 'wattkeep-hello-'));
    const agent = await serveAgent(home);
    const hello = await serve(process.execPath, [benchChild('hello-page'), site]);
    const browser = await launchWholeChromium();
    try {
      const weights = await weigh(browser, agent.url);
      await firstPaintMs(browser, agent.url);
      await firstPaintMs(browser, hello.url);
      say(`${ROUNDS} loads of each page`);
      const taken = await takeTurns(ROUNDS, {
        agent: () => firstPaintMs(browser, agent.url),
        hello: () => firstPaintMs(browser, hello.url),
      });
      const floor = median(taken.hello);
      return [
        ...weightFigures(weights),
        {
          name: 'first contentful paint',
          unit: 'ms',
          value: median(taken.agent),
          floor,
          floorIs: 'a page that says hello, from the same server',
          goal: atMostTimes(1.3, floor),
          samples: `${ROUNDS} fresh loads`,
        },
      ];
    } finally {
      await browser.close();
      await hello.end();
      await agent.end();
      home.remove();
      rmSync(site, { recursive: true, force: true });
    }
  },
};
