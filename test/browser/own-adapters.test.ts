import type { Locator } from 'playwright-core';
import { expect, it } from 'vitest';
import type { OwnAdapter } from '#messages';
import { describePage, PHONE, plain, sentence, sure } from '../support/page-stage.ts';
import { shedData } from '../support/shed-agent.ts';

const HASH = 'ab12'.repeat(16);
const own = (change: Partial<OwnAdapter> = {}): OwnAdapter => ({
  file: 'bee-box.ts',
  sha256: HASH,
  state: 'asks',
  says: '',
  id: 'bee-box',
  title: 'Bee box',
  version: '3',
  transports: ['serial'],
  gives: ['stateOfChargePct'],
  requests: [{ name: 'level?', bytes: '01 03 .. ..', to: null }],
  characteristics: [],
  approved: null,
  ...change,
});
const answer = (adapters: OwnAdapter[], level: 1 | 2 = 2) => ({
  folder: '/home/u/.config/wattkeep/adapters',
  containment: { level, networkOpen: level === 1, hindrance: level === 1 ? ('missing' as const) : ('none' as const) },
  adapters,
});

/** All that is said in the part: the element's own text lies in its shadow. */
const said = async (part: Locator): Promise<string> =>
  (await part.locator('p, h3, dt, dd').allInnerTexts()).map(plain).join(' ');

describePage('adapters of one’s own', stage => {
  it('are shown in Setup with version, hash and all they may send, and approved by one tap', async () => {
    const { page, agent } = await stage.open(shedData({}, { own: answer([own()]) }), { path: '/setup#adapters' });
    const part = page.locator('own-adapters');
    await part.getByText('Bee box, version 3 (bee-box.ts)').waitFor();
    const text = await said(part);
    expect(text).toContain('/home/u/.config/wattkeep/adapters');
    expect(text).toContain('no network, none of your files');
    expect(text).toContain('Not approved: it does not run.');
    expect(text).toContain(HASH);
    expect(text).toContain('level?: 01 03 .. ..');
    await part.getByRole('button', { name: 'Approve bee-box.ts' }).click();
    await expect.poll(() => part.getByRole('button').count()).toBe(0);
    expect(await said(part)).toContain('A station uses it as “bee-box”');
    expect(agent.asked.find(a => a.path === '/api/own-adapters/approve')).toMatchObject({
      body: { file: 'bee-box.ts', sha256: HASH },
      header: '1',
    });
  });

  it('say in words how far they are contained, why one is stopped and why one cannot be used', async () => {
    const approved = { version: '2', sha256: 'cd'.repeat(32), approvedAt: '2026-05-01T10:00:00.000Z' };
    const broken = own({ file: 'bad.ts', state: 'broken', says: 'bad.ts, line 3: Expected "}"', title: null });
    const data = shedData({}, { own: answer([own({ state: 'changed', approved }), broken], 1) });
    const { page } = await stage.open(data, { path: '/setup', viewport: PHONE });
    const part = page.locator('own-adapters');
    await part.getByText('Stopped').waitFor();
    const text = await said(part);
    expect(text).toContain('can still reach the network');
    expect(text).toContain('the file is not the one you approved on 1 May (version 2)');
    expect(text).toContain('It cannot be used. bad.ts, line 3: Expected "}".');
    const width = await page.evaluate(() => document.documentElement.scrollWidth);
    expect(width).toBeLessThanOrEqual(PHONE.width);
  });

  it('hold a station back in words that say where to click', async () => {
    const status = { phase: 'parked', failure: 'adapterAsks', detail: 'bee-box.ts', link: '/dev/ttyUSB0' } as const;
    const { page } = await stage.open(shedData({ status }));
    await sentence(page).filter({ hasText: 'Its adapter waits for your approval.' }).waitFor();
    expect(plain(await sure(page).textContent())).toBe(
      'Look at bee-box.ts in Setup under “Adapters of your own” and approve it there. Until then /dev/ttyUSB0 is not opened.',
    );
    await page.getByRole('link', { name: 'Open Setup' }).click();
    await page.locator('own-adapters').waitFor();
  });
});
