import { expect, it } from 'vitest';
import { DESK, describePage, PHONE, sentence } from '../support/page-stage.ts';
import { brightness, readPng } from '../support/png.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

describePage('the light of the page', stage => {
  for (const path of ['/', '/outlast', '/ledger', '/wiring', '/setup']) {
    for (const viewport of [PHONE, DESK]) {
      it(`stays dim at night on ${path} at ${viewport.width} px`, async () => {
        const { page } = await stage.open(shedData({}, { settings: shedSettings() }), {
          path,
          viewport,
          light: 'night',
        });
        await sentence(page)
          .filter({ hasText: /At least until|It reaches|from the sun|Honey shed:|in series/ })
          .waitFor();
        if (path === '/') await page.locator('time-chart canvas').waitFor();
        if (path === '/ledger') await page.locator('ledger-chart canvas').waitFor();
        const { mean, shareAbove } = brightness(readPng(await page.screenshot()), 0.25);
        expect(mean).toBeLessThanOrEqual(0.03);
        expect(shareAbove).toBeLessThanOrEqual(0.05);
      });
    }
  }

  it('never flashes white on a dark system, even before the script runs', async () => {
    const { page } = await stage.open(shedData(), { colorScheme: 'dark', javaScriptEnabled: false });
    expect(brightness(readPng(await page.screenshot()), 0.25).mean).toBeLessThan(0.03);
  });

  it('follows the system, then the key, then remembers', async () => {
    const { page } = await stage.open(shedData(), { colorScheme: 'dark' });
    const light = () => page.evaluate(() => document.documentElement.dataset.light);
    await expect.poll(light).toBe('night');
    await page.emulateMedia({ colorScheme: 'light', contrast: 'more' });
    await expect.poll(light).toBe('glare');
    await page.keyboard.press('l');
    await expect.poll(light).toBe('night');
    await page.reload();
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    expect(await light()).toBe('night');
    await page.locator('#light').click();
    expect(await light()).toBe('day');
  });

  it('does not take the letter from someone who types', async () => {
    const { page } = await stage.open(shedData({}, { settings: shedSettings() }), { path: '/setup' });
    await page.getByLabel('Name', { exact: true }).first().pressSequentially('l');
    expect(await page.evaluate(() => document.documentElement.dataset.light)).toBe('day');
  });

  it('has heavy words and two-pixel rules in glare', async () => {
    const { page } = await stage.open(shedData(), { light: 'glare' });
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    const styles = await page.evaluate(() => {
      const body = getComputedStyle(document.body);
      return [body.fontWeight, body.color, getComputedStyle(document.querySelector('.top')!).borderBottomWidth];
    });
    expect(styles).toEqual(['700', 'rgb(0, 0, 0)', '2px']);
  });
});
