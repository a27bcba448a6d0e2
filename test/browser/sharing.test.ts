/** Setup's part for the home network, and what every view says where a session leaves something out. */
import decodeQR from 'qr/decode.js';
import { expect, it } from 'vitest';
import type { SharingAnswer } from '#messages';
import { axeViolations } from '../support/axe.ts';
import { nothingYet } from '../support/fake-agent.ts';
import { EVENING_AT } from '../support/honey-shed.ts';
import { describePage, PHONE, seen } from '../support/page-stage.ts';
import { readPng } from '../support/png.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

/** For a machine that does much else. */
const LONG = { timeout: 30_000 };

const at = (ms: number) => new Date(EVENING_AT + ms).toISOString();
const session = (over: Partial<SharingAnswer['sessions'][number]>): SharingAnswer['sessions'][number] => ({
  id: 's1',
  kind: 'browser',
  name: 'Phone in the yard',
  scope: 'view',
  here: false,
  address: '192.168.1.23',
  madeAt: at(-3_600_000),
  lastSeenAt: at(-60_000),
  changeUntil: null,
  ...over,
});
const SHARED: Partial<SharingAnswer> = {
  on: true,
  interface: 'wlan0',
  addresses: ['http://192.168.1.5:7420/'],
  waiting: [{ id: 'w1', name: 'Tablet', address: '192.168.1.40', words: 'amber hive', askedAt: at(-5_000) }],
  sessions: [
    session({}),
    session({ id: 's2', name: 'Laptop', scope: 'change', here: true, address: '127.0.0.1' }),
    session({ id: 's3', kind: 'script', name: 'Kitchen display', address: '' }),
  ],
};
const setup = (sharing: Partial<SharingAnswer>) =>
  shedData({}, { settings: shedSettings(), sharing: { ...nothingYet().sharing, ...structuredClone(sharing) } });

describePage('sharing in Setup', stage => {
  it.each(['day', 'glare', 'night'] as const)(
    'has nothing that axe finds by %s, on a phone, all of it open',
    async light => {
      const { page } = await stage.open(setup(SHARED), { path: '/setup', viewport: PHONE, light });
      await page.getByRole('button', { name: 'Let a phone in' }).click();
      await page.getByRole('img', { name: 'QR code with a link for one phone' }).waitFor();
      expect(await axeViolations(page)).toEqual([]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(PHONE.width);
    },
  );

  it.each(['day', 'glare', 'night'] as const)('draws a code by %s that a camera reads', async light => {
    const { page } = await stage.open(setup(SHARED), { path: '/setup', light });
    await page.getByRole('button', { name: 'Let a phone in' }).click();
    const drawing = page.getByRole('img', { name: 'QR code with a link for one phone' });
    const { width, height, channels, pixels } = readPng(await drawing.screenshot());
    const data = new Uint8Array(width * height * 4).fill(255);
    for (let i = 0; i < width * height; i++) data.set(pixels.subarray(i * channels, i * channels + 3), i * 4);
    expect(decodeQR({ width, height, data })).toBe('http://192.168.1.5:7420/pair#AAAAAAAAAAAAAAAAAAAAAA');
  });

  it('is off at first, and names the network it would be shared on', async () => {
    const { page, agent } = await stage.open(
      setup({
        networks: [
          { name: 'wlan0', address: '192.168.1.5' },
          { name: 'eth0', address: '10.0.0.7' },
        ],
      }),
      { path: '/setup' },
    );
    await page.getByText('Only this computer reaches it.').waitFor();
    await page.getByLabel('Network').selectOption('eth0: 10.0.0.7');
    await page.getByRole('button', { name: 'Share it' }).click();
    await page.getByRole('button', { name: 'Stop sharing' }).waitFor();
    expect(agent.asked.find(({ path, method }) => path === '/api/sharing' && method === 'POST')?.body).toEqual({
      on: true,
      interface: 'eth0',
    });
  });

  it('says where there is no network at all', async () => {
    const { page } = await stage.open(setup({ networks: [] }), { path: '/setup' });
    await page.getByText('This computer is in no network now.').waitFor();
    expect(await page.getByRole('button', { name: 'Share it' }).count()).toBe(0);
  });

  it('lets who waits look, where nothing else was chosen', async () => {
    const { page, agent } = await stage.open(setup(SHARED), { path: '/setup' });
    await page.getByText('“Tablet” (192.168.1.40) asks to be let in.').waitFor();
    expect(await seen(page.locator('.waiting .code'))).toBe('amber hive');
    await page.getByRole('button', { name: 'Let “Tablet” in' }).click();
    await page.locator('.waiting').waitFor({ state: 'detached' });
    expect(agent.asked.at(-2)?.body ?? agent.asked.at(-1)?.body).toEqual({ request: 'w1', scope: 'view' });
  });

  it('gives more only by a choice that says what plain HTTP cannot protect', async () => {
    const { page, agent } = await stage.open(setup(SHARED), { path: '/setup' });
    const change = page.getByRole('radio', { name: /^change/ });
    await change.waitFor();
    expect(await change.isChecked()).toBe(false);
    expect(await seen(page.locator('.waiting label').last())).toMatch(
      /Not encrypted: someone on the same network could take this over .* another page in place/,
    );
    await change.check();
    await page.getByRole('button', { name: 'Let “Tablet” in' }).click();
    await page.locator('.waiting').waitFor({ state: 'detached' });
    expect(agent.asked.filter(({ path }) => path === '/api/sharing/decision').map(({ body }) => body)).toEqual([
      { request: 'w1', scope: 'change' },
    ]);
  });

  it('lists who may come in and ends a session by one tap', async () => {
    const { page, agent } = await stage.open(setup(SHARED), { path: '/setup' });
    const row = (name: string) => page.getByRole('row', { name });
    expect(await seen(row('Phone in the yard'))).toMatch(/look 19:59 192\.168\.1\.23 End/);
    expect(await seen(row('Laptop'))).toMatch(/change .* this computer End/);
    expect(await seen(row('Kitchen display'))).toMatch(/look not used yet script End/);
    await page.getByRole('button', { name: 'End “Laptop”' }).click();
    await row('Laptop').waitFor({ state: 'detached' });
    expect(agent.asked.find(({ path }) => path === '/api/sharing/revoke')?.body).toEqual({ session: 's2' });
  });

  it('says when too many wrong codes were tried, and is unlocked', async () => {
    const { page } = await stage.open(setup({ ...SHARED, waiting: [], locked: true, failures: 100 }), {
      path: '/setup',
    });
    await page.getByText('100 wrong codes were tried.').waitFor();
    expect(await page.getByRole('button', { name: 'Let a phone in' }).count()).toBe(0);
    await page.getByRole('button', { name: 'Unlock' }).click();
    await page.getByRole('button', { name: 'Let a phone in' }).waitFor();
  });
});

describePage('a session that leaves something out', stage => {
  it.each([
    ['view', 'may only look'],
    ['mark', 'may look and mark'],
  ] as const)('that may %s is told so at the top of every view', async (scope, told) => {
    const { page } = await stage.open(shedData({}, { scope, settings: shedSettings() }), { viewport: PHONE });
    await expect.poll(() => seen(page.locator('#mark')), LONG).toContain(told);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(PHONE.width);
  });

  it('hears at a change that it was not made and how it could be, on whichever view; the line can be put away', async () => {
    const turnAway = { status: 401, code: 'SESSION_NEEDED', message: 'Nothing was changed.', fix: 'Open the link.' };
    const { page } = await stage.open(
      shedData({ station: { transport: 'typed' } }, { turnAway, settings: shedSettings() }),
      {
        path: '/setup',
        expected: /401/,
      },
    );
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    const line = page.locator('#turned-away');
    await line.filter({ hasText: 'Nothing was changed. Open the link.' }).waitFor();
    expect(await line.getAttribute('role')).toBe('alert');
    expect(await axeViolations(page)).toEqual([]);
    await line.getByRole('button', { name: 'Put away' }).click();
    await line.waitFor({ state: 'detached' });
  });
});
