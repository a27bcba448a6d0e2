/** The page on which a phone is let in, from a real server on a hand clock. */
import { dirname } from 'node:path';
import type { Browser, BrowserContextOptions, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { axeViolations } from '../support/axe.ts';
import { HOW_TO_GET_CHROMIUM, hasChromium, launchChromium } from '../support/browser.ts';
import { built } from '../support/built.ts';
import { seen } from '../support/page-stage.ts';
import { brightness, readPng } from '../support/png.ts';
import { type Elsewhere, type Stage, stageServer } from '../support/server-stage.ts';

const SMALL = { width: 360, height: 640 };
const LIGHTS = ['day', 'glare', 'night'] as const;

describe.runIf(hasChromium())(`the page that lets a phone in (${HOW_TO_GET_CHROMIUM})`, () => {
  let browser: Browser;
  let stage: Stage;
  let yard: Elsewhere;
  let complaints: string[];
  beforeAll(async () => {
    browser = await launchChromium();
  });
  afterAll(() => browser?.close());
  beforeEach(async () => {
    complaints = [];
    stage = await stageServer({ siteDir: dirname(built('web/manifest.json')) });
    yard = await stage.share();
  });
  afterEach(async () => {
    await Promise.all(browser.contexts().map(context => context.close()));
    await stage.close();
    expect(complaints).toEqual([]);
  });

  async function open(path: string, options: BrowserContextOptions = {}, light: string = 'day'): Promise<Page> {
    const context = await browser.newContext({ viewport: SMALL, hasTouch: true, ...options });
    const page = await context.newPage();
    await context.addCookies([{ name: 'wattkeep.light', value: light, url: path }]);
    page.on('pageerror', error => complaints.push(error.message));
    page.on('console', message => {
      // A refused code is no fault of the page.
      if (message.type() === 'error' && !/status of (401|403|429)/.test(message.text()))
        complaints.push(message.text());
    });
    await page.goto(path);
    return page;
  }
  const pairAt = (fragment = '') => `http://${yard.host}/pair${fragment}`;
  const ask = (page: Page) => page.getByRole('button', { name: 'Ask to be let in' });
  /** Nothing to find for axe, nothing beyond the screen's width, nothing too small to tap. */
  async function expectOpenToAll(page: Page): Promise<void> {
    expect(await axeViolations(page)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(SMALL.width);
    for (const control of await page.locator('button, input, a').all())
      expect((await control.boundingBox())!.height).toBeGreaterThanOrEqual(44);
  }

  it.each(LIGHTS)('is open to everyone in each of its states by %s', async light => {
    const page = await open(pairAt(), {}, light);
    await ask(page).waitFor();
    expect(await page.evaluate(() => document.documentElement.dataset.light)).toBe(light);
    await expectOpenToAll(page);
    if (light === 'night')
      expect(brightness(readPng(await page.screenshot()), 0.25).shareAbove).toBeLessThanOrEqual(0.05);
    await page.getByLabel('Code').fill('WRONG');
    await ask(page).tap();
    await page.getByRole('alert').filter({ hasText: 'not a code that stands' }).waitFor();
    await expectOpenToAll(page);
    await page.getByLabel('Code').fill(stage.sharing.invite().code);
    await ask(page).tap();
    await page.locator('.words').waitFor();
    await expectOpenToAll(page);
    stage.sharing.decide(stage.sharing.waiting()[0]!.id, 'change');
    await page.getByText('This phone may change things for 24 hours.').waitFor();
    await page.getByText('They could also take this over').waitFor();
    await expectOpenToAll(page);
  });

  it('takes a code as it is pasted, in small letters and with its gap', async () => {
    const { code } = stage.sharing.invite();
    const page = await open(pairAt());
    await page.context().grantPermissions(['clipboard-read', 'clipboard-write']);
    await page.evaluate(
      text => navigator.clipboard.writeText(text),
      ` ${code.slice(0, 4).toLowerCase()}-${code.slice(4)} `,
    );
    await page.getByLabel('Code').focus();
    await page.keyboard.press('ControlOrMeta+V');
    await page.keyboard.press('Enter');
    await page.locator('.words').waitFor();
    expect(stage.sharing.waiting()).toMatchObject([{ name: 'Phone', words: await seen(page.locator('.words')) }]);
  });

  it('asks nothing but a name where a link brought it, and sends its token only once it is told to', async () => {
    const { token } = stage.sharing.invite();
    const page = await open(pairAt(`#${token}`));
    await ask(page).waitFor();
    expect(await page.getByLabel('Code').count()).toBe(0);
    expect(stage.sharing.waiting()).toEqual([]);
    await page.getByLabel('What this phone is called there').fill('Phone in the yard');
    await ask(page).tap();
    await page.locator('.words').waitFor();
    expect(stage.sharing.waiting()).toMatchObject([{ name: 'Phone in the yard' }]);
  });

  it('says when the owner refused, when nobody answered, and when there were too many tries', async () => {
    const page = await open(pairAt());
    const tryIn = async () => {
      await page.getByLabel('Code').fill(stage.sharing.invite().code);
      await ask(page).tap();
      await page.locator('.words').waitFor();
    };
    await tryIn();
    stage.sharing.decide(stage.sharing.waiting()[0]!.id, null);
    await page.getByText('It was not let in.').waitFor();
    await page.getByRole('button', { name: 'Try again with a new code' }).tap();
    await tryIn();
    stage.clock.advance(300_001);
    await page.getByText('Nobody answered in time.').waitFor();
    await page.getByRole('button', { name: 'Try again with a new code' }).tap();
    for (let i = 0; i < 20; i++) {
      if (i % 5 === 0) stage.sharing.invite();
      await yard.post('/pair', { secret: `0000000${i}`, name: '' });
    }
    await page.getByLabel('Code').fill(stage.sharing.invite().code);
    await ask(page).tap();
    await page.getByRole('alert').filter({ hasText: 'Too many wrong codes were tried' }).waitFor();
  });

  it('says where it waits that the agent is gone only after it was patient, and goes on where it comes back', async () => {
    const page = await open(pairAt());
    await page.getByLabel('Code').fill(stage.sharing.invite().code);
    await ask(page).tap();
    await page.locator('.words').waitFor();
    await page.context().setOffline(true);
    await page.waitForTimeout(2_500);
    expect(await page.locator('.words').count()).toBe(1);
    await page.context().setOffline(false);
    stage.sharing.decide(stage.sharing.waiting()[0]!.id, 'view');
    await page.getByText('This phone may look.').waitFor();
    complaints = complaints.filter(text => !text.includes('ERR_INTERNET_DISCONNECTED'));
  });

  it('lets a browser of this machine in by its link alone and goes on to the page; a used link says so', async () => {
    const { token } = stage.sharing.linkHere();
    const here = stage.server.url;
    const page = await open(`${here}pair#${token}`);
    await page.waitForURL(here);
    expect(stage.sharing.sessions().some(one => one.here && one.scope === 'change' && one.kind === 'browser')).toBe(
      true,
    );
    const again = await open(`${here}pair#${token}`);
    await again.getByText('This link no longer works.').waitFor();
    expect(await axeViolations(again)).toEqual([]);
    const pasted = await open(`${here}pair`);
    await pasted.getByLabel('Link, or code').fill(`${here}pair#${stage.sharing.linkHere().token}`);
    await ask(pasted).tap();
    await pasted.getByText('This browser may change things.').waitFor();
  });

  it('is what a phone without a session sees at every view, and the view is what it sees with one', async () => {
    const page = await open(`http://${yard.host}/ledger`);
    await ask(page).waitFor();
    const [name, value] = stage.cookie.split('=') as [string, string];
    await page.context().addCookies([{ name, value, url: `http://${yard.host}` }]);
    await page.goto(`http://${yard.host}/ledger`);
    await page.locator('#menu').waitFor();
  });
});
