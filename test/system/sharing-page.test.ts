/** The owner's road through sharing, in real browsers: the laptop's page, a phone's page, and what becomes of it. */
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type AgentProcess, type Folders, freshFolders } from '../support/agent-process.ts';
import { HOW_TO_GET_CHROMIUM, hasChromium, launchChromium } from '../support/browser.ts';
import { DESK, PHONE, seen } from '../support/page-stage.ts';
import { startYardAgent, YARD, yardUrl } from '../support/yard-agent.ts';

/** For a machine that does much else. */
const LONG = { timeout: 30_000 };

const TYPED = '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\ntransport = { kind = "typed" }\n';

describe.runIf(hasChromium())(`sharing (${HOW_TO_GET_CHROMIUM})`, () => {
  let folders: Folders;
  let agent: AgentProcess;
  let browser: Browser;
  let laptop: Page;
  let phone: Page;

  beforeAll(async () => {
    folders = freshFolders(TYPED);
    agent = await startYardAgent(folders);
    browser = await launchChromium();
    laptop = await (await browser.newContext({ viewport: DESK })).newPage();
    phone = await (await browser.newContext({ viewport: PHONE, hasTouch: true })).newPage();
    for (const page of [laptop, phone]) page.setDefaultTimeout(30_000);
  });
  afterAll(async () => {
    await browser?.close();
    await agent?.end('SIGKILL');
    folders?.remove();
  });

  it('tells a laptop’s browser at its first change how to be allowed it, and is allowed it by the printed link', async () => {
    await laptop.goto(`${agent.url}setup`);
    await laptop.getByRole('button', { name: 'Save', exact: true }).waitFor();
    expect(await seen(laptop.locator('#mark'))).toContain('may only look');
    await laptop.getByLabel('Name').first().fill('Bee shed');
    await laptop.getByRole('button', { name: 'Save', exact: true }).click();
    await laptop
      .locator('#turned-away')
      .filter({ hasText: 'Open once, in this browser, the link that wattkeep printed' })
      .waitFor();
    const other = await laptop.context().newPage();
    await other.goto(await agent.link);
    await other.waitForURL(agent.url);
    await other
      .locator('#mark')
      .filter({ hasText: 'typed' })
      .or(other.locator('h1:not(.wait)').first())
      .first()
      .waitFor();
    expect(await seen(other.locator('#mark'))).not.toContain('may only look');
    await other.close();
    // What was typed is still there.
    await laptop.getByRole('button', { name: 'Save', exact: true }).click();
    await laptop.getByText('Saved. The agent uses it from now on.').waitFor();
  });

  it('is switched on in Setup, and shows a code and its address', async () => {
    await laptop.goto(`${agent.url}setup`);
    await laptop.getByText('Only this computer reaches it.').waitFor();
    expect(await laptop.getByLabel('Network').inputValue()).toBe('yard0');
    await laptop.getByRole('button', { name: 'Share it' }).click();
    await laptop.getByText(`Those you let in reach it at ${yardUrl(agent)} (yard0).`).waitFor();
    await laptop.getByRole('button', { name: 'Let a phone in' }).click();
    await laptop.getByRole('img', { name: 'QR code with a link for one phone' }).waitFor();
    await laptop.getByText(`or open ${yardUrl(agent)}pair on it and type`).waitFor();
  });

  it('lets a phone in after both sides showed the same two words, to look', async () => {
    const code = await seen(laptop.locator('.invitation .code'));
    await phone.goto(yardUrl(agent));
    await phone.getByLabel('Code').fill(code);
    await phone.getByLabel('What this phone is called there').fill('Phone in the yard');
    await phone.getByRole('button', { name: 'Ask to be let in' }).tap();
    const words = await seen(phone.locator('.words'));
    await laptop.getByText(`“Phone in the yard” (127.0.0.1) asks to be let in.`).waitFor();
    expect(await seen(laptop.locator('.waiting .code'))).toBe(words);
    expect(await laptop.getByRole('radio', { name: /^look Sees everything/ }).isChecked()).toBe(true);
    await laptop.getByRole('button', { name: 'Let “Phone in the yard” in' }).click();
    await phone.getByText('This phone may look.').waitFor();
    await phone.getByRole('link', { name: 'Open the page' }).tap();
    await phone.locator('h1').filter({ hasText: 'Type what' }).or(phone.locator('h1:not(.wait)')).first().waitFor();
    expect(phone.url()).toBe(yardUrl(agent));
    await expect.poll(() => seen(phone.locator('#mark')), LONG).toContain('may only look');
  });

  it('says on the phone that a change is not for it', async () => {
    await phone.goto(`${yardUrl(agent)}setup`);
    await phone.getByText('That is decided on wattkeep’s own computer.').waitFor();
    await phone.getByRole('button', { name: 'Save', exact: true }).click();
    await phone.locator('#turned-away').filter({ hasText: 'this browser may not do that' }).waitFor();
  });

  it('ends the phone’s session by one tap: its page leads to the pairing page by itself', async () => {
    await phone.goto(yardUrl(agent));
    await phone.locator('h1:not(.wait)').first().waitFor();
    await laptop.getByRole('button', { name: 'End “Phone in the yard”' }).click();
    await phone.getByRole('button', { name: 'Ask to be let in' }).waitFor();
    expect((await phone.context().cookies()).some(({ httpOnly }) => httpOnly)).toBe(true);
    await laptop.getByRole('button', { name: 'Stop sharing' }).click();
    await laptop.getByText('Only this computer reaches it.').waitFor();
    await expect(fetch(`http://${YARD}:${new URL(agent.url).port}/healthz`)).rejects.toThrow();
  });
});
