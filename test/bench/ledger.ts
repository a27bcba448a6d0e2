/**
 * The Ledger of a year in Chromium: from the request for it to the painted drawing, as the processor is and four times
 * slower; beside the same bytes out of the page's own memory. The first answer stands apart: the process that reads the
 * record starts for it, and ends when it is idle.
 */
import { join } from 'node:path';
import type { Browser, CDPSession, Page } from 'playwright-core';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import { openRecord } from '../../agent/store/open.ts';
import { chromiumPath, HOW_TO_GET_CHROMIUM, launchWholeChromium } from '../support/browser.ts';
import { freshHome, type Home, serveAgent } from './agent.ts';
import { atMost, atMostTimes, type Bench, type Figure, unmeasured } from './figure.ts';
import { MINUTE_MS, MINUTES_A_YEAR, readingAt, STATION, YEAR_STARTS_AT } from './recorded-year.ts';
import { median, takeTurns } from './samples.ts';

/** What is painted comes by the frame: few of them would tell of luck. */
const ROUNDS = 31;
/** Readings held in memory while the year is recorded. */
const MINUTES_AT_ONCE = 30 * 1440;
const ALLOWED_MS = 1_000;
const PANELS_W = 400;
const PLACE = { latitudeDeg: 45.5, longitudeDeg: 9 };
const PLANE = { tiltDeg: 30, azimuthDeg: 180 };

const SETTINGS = `
[tariff]
perKWh = 0.34
currency = "EUR"

[[station]]
id = "${STATION}"
name = "Shed"
zone = "UTC"
ratedWh = 1500
inputSource = "sun"
paid = 690
transport = { kind = "typed" }

[[station.panel]]
name = "folding"
ratedW = ${PANELS_W}
tiltDeg = ${PLANE.tiltDeg}
azimuthDeg = ${PLANE.azimuthDeg}

[station.place]
latitudeDeg = ${PLACE.latitudeDeg}
longitudeDeg = ${PLACE.longitudeDeg}
`;

/** A year of minutes up to today, by the road that recordings take. */
function recordYear(home: Home): void {
  const record = openRecord(join(home.dir, 'data', 'record'), { nowMs: Date.now, commitIntervalMs: 0 });
  const laterMs = Math.floor((Date.now() - YEAR_STARTS_AT) / MINUTE_MS - MINUTES_A_YEAR) * MINUTE_MS;
  const facts = {
    intervalMs: MINUTE_MS,
    zone: 'UTC',
    ratedWh: 1500,
    floorPct: 10,
    ceilingPct: 100,
    lowCutoffPct: 0,
    inputSource: 'sun' as const,
    panels: [{ ratedW: PANELS_W, ...PLANE }],
    solarMaxW: null,
    place: PLACE,
    named: [],
  };
  for (let from = 0; from < MINUTES_A_YEAR; from += MINUTES_AT_ONCE) {
    const readings = Array.from({ length: Math.min(MINUTES_AT_ONCE, MINUTES_A_YEAR - from) }, (_, i) => {
      const reading = readingAt(from + i);
      return { ...reading, at: reading.at + laterMs };
    });
    takeRecording(readings, facts, record, record.latest(STATION)?.at ?? null);
  }
  record.close();
}

interface Painting {
  requestedMs: number;
  paintedMs: number;
}
type Watching = typeof globalThis & {
  painting: Painting | null;
  ledgerAsked: Set<string>;
  /** By address. */
  ledgerBytes: Map<string, ArrayBuffer>;
  fromMemory: boolean;
  /** Since the last way to it. */
  asking: boolean;
  /** Answers that have not come. */
  awaited: number;
};

/** Runs in the page before its own code: notes the request, and when the drawing that follows it has been painted. */
function watchLedger(): void {
  const page = globalThis as Watching;
  page.painting = null;
  page.ledgerAsked = new Set();
  page.ledgerBytes = new Map();
  page.fromMemory = false;
  page.asking = false;
  page.awaited = 0;
  const real = globalThis.fetch;
  const noteWhenPainted = (requestedMs: number) => {
    const chart = document.querySelector('ledger-view')?.shadowRoot?.querySelector('ledger-chart')?.shadowRoot;
    const bars = chart?.querySelector('.whole')?.getAttribute('d') ?? '';
    if (bars === '') {
      requestAnimationFrame(() => noteWhenPainted(requestedMs));
      return;
    }
    const afterFrame = new MessageChannel();
    afterFrame.port1.onmessage = () => {
      page.painting = { requestedMs, paintedMs: performance.now() };
    };
    afterFrame.port2.postMessage(null);
  };
  globalThis.fetch = async (address, init) => {
    const asked = String(address);
    if (!asked.includes('/ledger?')) return real(address, init);
    // Days that are over and today are asked for at once: the first drawing counts.
    if (!page.asking) {
      page.asking = true;
      const requestedMs = performance.now();
      requestAnimationFrame(() => noteWhenPainted(requestedMs));
    }
    const held = page.ledgerBytes.get(asked);
    if (page.fromMemory && held !== undefined) return new Response(held.slice(0));
    page.awaited++;
    page.ledgerAsked.add(asked);
    try {
      return await real(address, init);
    } finally {
      page.awaited--;
    }
  };
}

/** One way from another view to the painted Ledger, ms. */
async function paintOnce(page: Page, fromMemory: boolean): Promise<number> {
  await page.evaluate(memory => {
    const watching = globalThis as Watching;
    watching.fromMemory = memory;
    watching.painting = null;
    watching.asking = false;
  }, fromMemory);
  await page.locator('#menu a[href="/ledger"]').click();
  const painting = await page.waitForFunction(() => (globalThis as Watching).painting, null, { timeout: 120_000 });
  const { requestedMs, paintedMs } = (await painting.jsonValue())!;
  // Today's own figures follow from the reading process: the next way is not to be slowed by them.
  await page.waitForFunction(() => (globalThis as Watching).awaited === 0, null, { timeout: 120_000 });
  await page.locator('#menu a[href="/wiring"]').click();
  await page.locator('wiring-view').waitFor();
  return paintedMs - requestedMs;
}

/** Puts what was asked for into the page's memory; aside from the ways that are timed, which a copy would slow. */
const holdBytes = (page: Page): Promise<number> =>
  page.evaluate(async () => {
    const { ledgerAsked, ledgerBytes } = globalThis as Watching;
    for (const asked of ledgerAsked) {
      const held = new XMLHttpRequest();
      const loaded = new Promise(resolve => held.addEventListener('load', resolve));
      held.open('GET', asked);
      held.responseType = 'arraybuffer';
      held.send();
      await loaded;
      ledgerBytes.set(asked, held.response as ArrayBuffer);
    }
    return [...ledgerBytes.values()].reduce((sum, { byteLength }) => sum + byteLength, 0);
  });

async function openPage(browser: Browser, url: string): Promise<{ page: Page; devtools: CDPSession }> {
  const page = await browser.newPage({ viewport: { width: 1280, height: 800 } });
  await page.addInitScript(() => localStorage.setItem('wattkeep.ledger.period', 'all'));
  await page.addInitScript(watchLedger);
  await page.goto(`${url}wiring`);
  await page.locator('wiring-view').waitFor();
  return { page, devtools: await page.context().newCDPSession(page) };
}

export const ledger: Bench = {
  name: 'ledger',
  title: 'Ledger of a year: request → painted in Chromium',
  async run(say) {
    if (chromiumPath() === null) return [unmeasured('ledger', HOW_TO_GET_CHROMIUM)];
    const home = freshHome(SETTINGS);
    say('a year of minutes is recorded');
    recordYear(home);
    const agent = await serveAgent(home);
    const browser = await launchWholeChromium();
    try {
      const { page, devtools } = await openPage(browser, agent.url);
      const first = await paintOnce(page, false);
      const bytes = await holdBytes(page);
      const figures: Figure[] = [];
      for (const rate of [1, 4]) {
        await devtools.send('Emulation.setCPUThrottlingRate', { rate });
        say(`${ROUNDS} ways to it and ${ROUNDS} from memory at ${rate} ×`);
        const taken = await takeTurns(ROUNDS, {
          agent: () => paintOnce(page, false),
          memory: () => paintOnce(page, true),
        });
        const floor = median(taken.memory);
        figures.push({
          name: `request → painted, ${rate} ×`,
          unit: 'ms',
          value: median(taken.agent),
          floor,
          floorIs: 'the same bytes out of the page’s memory',
          goal: rate === 1 ? atMostTimes(1.5, floor) : atMost(ALLOWED_MS),
          samples: `${ROUNDS} each in turns`,
          note: `${Math.round(bytes / 1000)} kB of JSON; at least ${Math.round(Math.min(...taken.agent))} ms, from memory ${Math.round(Math.min(...taken.memory))}`,
        });
      }
      figures.push({
        name: 'first request → painted, 1 ×',
        unit: 'ms',
        value: first,
        note: 'code of the view and the reading process start for it',
      });
      return figures;
    } finally {
      await browser.close();
      await agent.end();
      home.remove();
    }
  },
};
