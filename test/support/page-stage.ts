/**
 * A real browser on the built page against a fake agent. Every page reports what its console and its content policy
 * complained about; a test that ends with a complaint has failed.
 */
import path from 'node:path';
import type { Browser, BrowserContextOptions, Locator, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, describe, expect } from 'vitest';
import { HOW_TO_GET_CHROMIUM, hasChromium, launchChromium } from './browser.ts';
import { built } from './built.ts';
import { type FakeAgent, type FakeData, fakeAgent } from './fake-agent.ts';

export const PHONE = { width: 390, height: 844 };
export const DESK = { width: 1280, height: 800 };

export interface OpenOptions extends BrowserContextOptions {
  path?: string;
  light?: 'day' | 'glare' | 'night';
  /** Complaints of the console that belong to the scenario. */
  expected?: RegExp;
  /** Runs before the page's own code. */
  before?: (page: Page) => Promise<void>;
}

export interface PageStage {
  open(data: FakeData, options?: OpenOptions): Promise<{ page: Page; agent: FakeAgent }>;
}

/** `describe` with a browser: pending with instructions where there is none. */
export function describePage(name: string, scenarios: (stage: PageStage) => void): void {
  if (!hasChromium()) {
    describe.skip(`${name} (pending: ${HOW_TO_GET_CHROMIUM})`, () =>
      scenarios({ open: () => Promise.reject(new Error('no browser')) }));
    return;
  }
  describe(name, () => {
    let browser: Browser;
    const agents: FakeAgent[] = [];
    let complaints: string[] = [];
    beforeAll(async () => {
      browser = await launchChromium();
    });
    afterAll(() => browser.close());
    afterEach(async () => {
      const seen = complaints;
      complaints = [];
      await Promise.all(browser.contexts().map(context => context.close()));
      await Promise.all(agents.splice(0).map(agent => agent.stop()));
      expect(seen).toEqual([]);
    });
    scenarios({
      async open(data, { path: address = '/', light, expected, before, ...options } = {}) {
        const agent = await fakeAgent(path.dirname(built('web/manifest.json')), data);
        agents.push(agent);
        const context = await browser.newContext({
          viewport: DESK,
          locale: 'en-GB',
          timezoneId: 'Europe/Rome',
          ...options,
        });
        const page = await context.newPage();
        page.setDefaultTimeout(15_000);
        const complain = (text: string) => {
          if (expected?.test(text) !== true) complaints.push(text);
        };
        page.on('pageerror', error => complain(error.message));
        page.on('console', message => {
          if (message.type() === 'error' || message.type() === 'warning') complain(message.text());
        });
        if (light !== undefined)
          await context.addCookies([{ name: 'wattkeep.light', value: light, url: agent.address }]);
        await page.addInitScript(keepScreenOn);
        await before?.(page);
        await page.goto(agent.address + address);
        return { page, agent };
      },
    });
  });
}

/** A browser without windows has no screen to keep on, and refuses; a phone that does is the rule. */
function keepScreenOn(): void {
  const wakeLock = { request: () => Promise.resolve({ release: () => Promise.resolve() }) };
  Object.defineProperty(Navigator.prototype, 'wakeLock', { configurable: true, get: () => wakeLock });
}

/** The sentence of the view as it is read. */
export const sentence = (page: Page) => page.locator('main h1');
export const sure = (page: Page) => page.locator('main .sure').first();
/** Words with every kind of space made plain. */
export const plain = (text: string | null): string => (text ?? '').replace(/[\u00a0\u202f\s]+/g, ' ').trim();

/** What is really seen of an element: hidden words left out, spaces made plain. */
export const seen = async (element: Locator): Promise<string> =>
  // biome-ignore lint/performance/useDomNodeTextContent: textContent would also give words that are hidden.
  plain(await element.innerText());
