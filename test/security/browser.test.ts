/** Attacks by pages in a real browser on the real agent: foreign sites, names pointed here, another port of the same host. */
import { createServer, type IncomingMessage, type Server } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Browser, BrowserContext, Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import type { InvitationAnswer, SharingAnswer, WireHealth } from '#messages';
import { type AgentProcess, type Folders, freshFolders } from '../support/agent-process.ts';
import { HOW_TO_GET_CHROMIUM, hasChromium, launchChromium } from '../support/browser.ts';
import { startYardAgent, tellAgent, YARD, yardUrl } from '../support/yard-agent.ts';

/** For a machine that does much else. */
const LONG = { timeout: 30_000 };

const TYPED = '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\ntransport = { kind = "typed" }\n';
const NASTY = '<img src=x onerror="document.title=1">';

describe.runIf(hasChromium())(`a page in a browser (${HOW_TO_GET_CHROMIUM})`, () => {
  let folders: Folders;
  let agent: AgentProcess;
  let browser: Browser;
  let evil: Server;
  let evilPort: number;
  /** Cookies that the attacker's own server was sent. */
  let cookiesSeen: string[];
  let owner: BrowserContext;
  let phone: BrowserContext;
  let port: string;

  beforeAll(async () => {
    folders = freshFolders(TYPED);
    agent = await startYardAgent(folders, ['--no-demo']);
    port = new URL(agent.url).port;
    browser = await launchChromium(['--host-resolver-rules=MAP *.test 127.0.0.1']);
    evil = createServer((request: IncomingMessage, response) => {
      cookiesSeen.push(request.headers.cookie ?? '');
      const inside = new URL(request.url!, 'http://evil.test').searchParams.get('html') ?? '';
      response.writeHead(200, { 'Content-Type': 'text/html' }).end(`<!doctype html><title>evil</title>${inside}`);
    });
    // On every address: it is a neighbour of the agent on each of them.
    await new Promise<void>(resolve => evil.listen(0, '0.0.0.0', resolve));
    evilPort = (evil.address() as AddressInfo).port;
    await tellAgent(folders, '', { on: true });
  });
  beforeEach(async () => {
    cookiesSeen = [];
    owner = await browser.newContext();
    phone = await browser.newContext();
  });
  afterEach(() => Promise.all([owner.close(), phone.close()]));
  afterAll(async () => {
    await browser?.close();
    evil?.close();
    await agent?.end('SIGKILL');
    folders?.remove();
  });

  const refused = async () => (await agent.api<WireHealth>('api/health')).refused;
  /** What a page finds when it tries to open a live socket. */
  const liveFrom = (page: Page, url: string) =>
    page.evaluate(
      address =>
        new Promise<string>(resolve => {
          const socket = new WebSocket(address);
          socket.onopen = () => resolve('open');
          socket.onerror = () => resolve('refused');
        }),
      url,
    );
  const readFrom = (page: Page, url: string, init: RequestInit = {}) =>
    page.evaluate(
      ([address, asked]) =>
        fetch(address, { credentials: 'include', ...asked }).then(
          async answer => `${answer.type} ${answer.status} ${(await answer.text()).length}`,
          () => 'failed',
        ),
      [url, init] as const,
    );
  /** Lets a browser change things over the network, as its owner might. */
  async function pairPhone(name = 'Phone'): Promise<Page> {
    const { code } = await tellAgent<InvitationAnswer>(folders, '/invitation', {});
    const page = await phone.newPage();
    await page.goto(`${yardUrl(agent)}pair`);
    await page.getByLabel('Code').fill(code);
    await page.getByLabel('What this phone is called there').fill(name);
    await page.getByRole('button', { name: 'Ask to be let in' }).click();
    await page.locator('.words').waitFor();
    const { waiting } = await tellAgent<SharingAnswer>(folders, '');
    await tellAgent(folders, '/decision', { request: waiting.at(-1)!.id, scope: 'change' });
    await page.getByText('This phone may change things for 24 hours.').waitFor();
    return page;
  }
  const hereLink = async () => (await tellAgent<{ link: string }>(folders, '/here-link', {})).link;
  const tryToType = { method: 'POST', mode: 'no-cors', body: '{"stateOfChargePct":1}' } as const;

  // S09
  it('whose foreign name was pointed here gets neither the page nor data nor the live socket', async () => {
    const before = (await refused()).host ?? 0;
    const page = await owner.newPage();
    const shown = await owner.newPage();
    // A refusal without a body: Chromium has a page of its own for it, or, without windows, shows nothing.
    const answer = await shown.goto(`http://rebind.test:${port}/`).catch((cause: Error) => cause.message);
    if (typeof answer === 'string') expect(answer).toContain('ERR_HTTP_RESPONSE_CODE_FAILURE');
    else expect([answer?.ok(), await answer?.text()]).toEqual([false, '']);
    await page.goto(`http://rebind.test:${evilPort}/`);
    expect(await readFrom(page, `http://rebind.test:${port}/api/stations`, { mode: 'no-cors' })).toBe('failed');
    expect(await liveFrom(page, `ws://rebind.test:${port}/live`)).toBe('refused');
    expect((await refused()).host).toBeGreaterThanOrEqual(before + 3);
  });

  it('of a foreign site opens no live socket, reads nothing and changes nothing', async () => {
    const page = await owner.newPage();
    await page.goto(await hereLink());
    await page.waitForURL(agent.url);
    await page.goto(`http://evil.test:${evilPort}/`);
    expect(await liveFrom(page, `ws://127.0.0.1:${port}/live`)).toBe('refused');
    expect(await readFrom(page, `${agent.url}api/stations`)).toBe('failed');
    await readFrom(page, `${agent.url}api/stations/shed/typed`, tryToType);
    const json = { method: 'POST', body: '{}', headers: { 'content-type': 'application/json', 'x-wattkeep': '1' } };
    expect(await readFrom(page, `${agent.url}api/stations/shed/typed`, json)).toBe('failed');
    expect(await agent.api('api/stations/shed/now')).toMatchObject({ reading: null });
  });

  // S04, S12
  it('of another port of the same host has the cookie with it, and still gets nothing', async () => {
    await pairPhone();
    const page = await phone.newPage();
    await page.goto(`http://${YARD}:${evilPort}/`);
    // The browser really gives it away: neither SameSite nor the port keeps it.
    expect(cookiesSeen.at(-2) ?? cookiesSeen.at(-1)).toMatch(/wattkeep-[0-9a-f]{8}=/);
    const before = (await refused()).origin ?? 0;
    expect(await liveFrom(page, `ws://${YARD}:${port}/live`)).toBe('refused');
    await readFrom(page, `${yardUrl(agent)}api/stations/shed/typed`, tryToType);
    expect(await readFrom(page, `${yardUrl(agent)}api/stations`)).toBe('failed');
    expect((await refused()).origin).toBeGreaterThanOrEqual(before + 3);
    expect(await agent.api('api/stations/shed/now')).toMatchObject({ reading: null });
    // The same browser's own page is let in by the same cookie.
    const own = await phone.newPage();
    await own.goto(yardUrl(agent));
    expect(await liveFrom(own, `ws://${YARD}:${port}/live`)).toBe('open');
  });

  // S39
  it.each(['', 'pair', 'setup'])('cannot put /%s into a frame of its own', async path => {
    const page = await owner.newPage();
    const html = encodeURIComponent(`<iframe src="${agent.url}${path}"></iframe>`);
    await page.goto(`http://evil.test:${evilPort}/?html=${html}`);
    await expect.poll(() => page.frames()[1]?.url(), LONG).toMatch(/^chrome-error:/);
  });

  it('brings the token of a link in the fragment: no request and no referer carries it, and the address forgets it', async () => {
    const { link } = await tellAgent<InvitationAnswer>(folders, '/invitation', {});
    const token = link.split('#')[1]!;
    const page = await phone.newPage();
    const sent: string[] = [];
    page.on('request', request => sent.push(request.url(), JSON.stringify(request.headers())));
    await page.goto(link);
    await page.getByRole('button', { name: 'Ask to be let in' }).waitFor();
    expect(page.url()).toBe(`${yardUrl(agent)}pair`);
    expect(sent.length).toBeGreaterThan(2);
    // Chromium itself gives the fragment of a document to whoever watches it; it is never sent.
    expect(sent.filter(text => text.replace(link, '').includes(token))).toEqual([]);
    await page.getByRole('button', { name: 'Ask to be let in' }).click();
    await page.locator('.words').waitFor();
    await page.reload();
    await page.getByLabel('Code').waitFor();
  });

  // S40
  it('that gives itself a name full of markup is shown by it as text, and breaks no content policy', async () => {
    await pairPhone(NASTY);
    const page = await owner.newPage();
    const complaints: string[] = [];
    page.on('console', message => void (message.type() === 'error' && complaints.push(message.text())));
    await page.goto(await hereLink());
    await page.waitForURL(agent.url);
    await page.goto(`${agent.url}setup`);
    await page.getByRole('rowheader', { name: NASTY }).waitFor();
    expect(await page.title()).not.toBe('1');
    expect(complaints).toEqual([]);
  });
});
