/** Plan in a browser: the list is changed and kept, what it says follows, and it can be read in every light. */
import { expect, it } from 'vitest';
import type { PlanAnswer, PlanSettings } from '#messages';
import { axeViolations } from '../support/axe.ts';
import { DESK, describePage, PHONE, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedPlan } from '../support/plans.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const SETTLE = { timeout: 15_000 };
const EMPTY: PlanSettings = { load: [], dullDays: 1.5 };

describePage('Plan', stage => {
  const open = (over: Partial<PlanAnswer> = {}, data = {}, options = {}) =>
    stage.open(shedData({}, { settings: shedSettings(), plan: station => shedPlan({ station, ...over }), ...data }), {
      path: '/outlast/plan',
      ...options,
    });

  it('opens with how long it runs, twelve months against the need, and a verdict for each load', async () => {
    const { page } = await open();
    await sentence(page)
      .filter({ hasText: /^This runs for/ })
      .waitFor();
    expect(plain(await sentence(page).textContent())).toMatch(/^This runs for 1\d h, at least 1\d\.$/);
    expect(plain(await sure(page).textContent())).toContain('In December the sun keeps up on no day of ten.');
    await expect.poll(() => page.locator('rect.month').count(), SETTLE).toBe(12);
    const says = plain(await page.getByRole('img').getAttribute('aria-label'));
    expect(says).toMatch(/^A day takes 2 \d{3} Wh from the panels\. January: \d+ Wh to/);
    const rows = (await page.locator('table.loads tbody tr').allTextContents()).map(plain);
    expect(rows[0]).toContain('Chest freezer 8.2 h a day · starts with 679 W · must stay on');
    expect(rows.every(row => row.endsWith('runs'))).toBe(true);
    await page.getByText('switch on one after the other').waitFor();
    await page.getByText('a month (').waitFor();
    expect(await seen(page.locator('table.hours'))).toContain('Monday–Sunday 22:00–07:00');
    expect(await page.locator('#menu a[aria-current]').textContent()).toBe('Outlast');
  });

  it('adds a common load by keyboard, with its source, and says that it is too big', async () => {
    const { page, agent } = await open();
    await page.getByRole('button', { name: 'Add a load' }).focus();
    await page.keyboard.press('Enter');
    await expect
      .poll(() =>
        page.evaluate(() => document.activeElement?.shadowRoot?.activeElement?.shadowRoot?.activeElement?.id ?? ''),
      )
      .toBe('from');
    await page.getByLabel('Begin with').selectOption('Kettle');
    await page.getByText(/1\.84\skW to 2\.76\skW: measured plugs/).waitFor();
    await page.getByLabel('Runs a day, h').fill('25');
    await page.keyboard.press('Enter');
    await page.getByText('A number from 0 to 24.').waitFor();
    await page.getByLabel('Runs a day, h').fill('0.3');
    await page.keyboard.press('Enter');
    await sentence(page).filter({ hasText: 'Kettle is too big for it.' }).waitFor();
    expect(plain(await sure(page).textContent())).toMatch(/^What is not too big runs for/);
    const kept = () => agent.asked.find(a => a.method === 'POST');
    await expect.poll(() => (kept()?.body as PlanSettings | undefined)?.load.length, SETTLE).toBe(4);
    expect(kept()).toMatchObject({ path: '/api/stations/shed/plan', header: '1' });
    expect((kept()!.body as PlanSettings).load[3]).toEqual({
      name: 'Kettle',
      powerW: 2200,
      startFactor: 1,
      hoursPerDay: 0.3,
      count: 1,
      mustStayOn: false,
    });
    expect(await seen(page.locator('table.loads tbody tr').last())).toContain('too big draws more than it gives');
    expect(await page.locator('main p.wrong').textContent()).toContain('What heats draws most');
  });

  it('changes a load and takes it off; the focus comes back to where it was opened', async () => {
    const { page, agent } = await open();
    await page.getByRole('button', { name: 'Change: Honey extractor' }).click();
    await page.getByLabel('Draws while it runs, W').fill('1 150');
    await page.getByRole('button', { name: 'Keep' }).click();
    await expect
      .poll(() => seen(page.locator('table.loads tbody tr').last()), SETTLE)
      .toContain('too big its start is too much');
    await page.getByRole('button', { name: 'Change: Honey extractor' }).click();
    await page.keyboard.press('Escape');
    await page.getByRole('button', { name: 'Cancel' }).click();
    await expect
      .poll(
        () =>
          page.evaluate(
            () =>
              document.activeElement?.shadowRoot?.activeElement?.shadowRoot?.activeElement?.getAttribute(
                'aria-label',
              ) ??
              document.activeElement?.shadowRoot?.activeElement?.getAttribute('aria-label') ??
              '',
          ),
        SETTLE,
      )
      .toBe('Change: Honey extractor');
    await page.getByRole('button', { name: 'Change: Honey extractor' }).click();
    await page.getByRole('button', { name: 'Take it off the list' }).click();
    await expect.poll(() => page.locator('table.loads tbody tr').count(), SETTLE).toBe(2);
    const last = () => agent.asked.filter(a => a.method === 'POST').at(-1)?.body as PlanSettings | undefined;
    await expect.poll(() => last()?.load.length, SETTLE).toBe(2);
  });

  it('begins with what was seen, and asks for limits that are not told', async () => {
    const { page, agent } = await open({ plan: EMPTY, continuousW: null });
    await sentence(page).filter({ hasText: 'Nothing is planned yet.' }).waitFor();
    expect(await page.locator('rect.month').count()).toBe(0);
    await page.getByRole('button', { name: 'Begin with what was seen' }).click();
    await sentence(page)
      .filter({ hasText: /^This runs for/ })
      .waitFor();
    const rows = (await page.locator('table.loads tbody tr').allTextContents()).map(plain);
    expect(rows[0]).toContain('Chest freezer 8.2 h a day · starts with 679 W · must stay on');
    expect(rows[1]).toContain('Draws 22 W always on');
    expect(rows[1]).toMatch(/not knownits limit is not told$/);
    await page.getByRole('link', { name: 'tell it in Setup' }).waitFor();
    await expect.poll(() => agent.asked.filter(a => a.method === 'POST').length, SETTLE).toBe(1);
  });

  it('says what is not kept, and goes on reckoning with it', async () => {
    const turnAway = { status: 401, code: 'SESSION_NEEDED', message: 'Nothing was changed.', fix: 'Open the link.' };
    const { page } = await open({}, { turnAway }, { expected: /401/ });
    await page.getByLabel('Dull days to carry').fill('3');
    await page.keyboard.press('Tab');
    await page.getByText('This is not kept:').waitFor();
    await page.getByLabel('Dull days to carry').fill('30');
    await page.keyboard.press('Tab');
    await page.getByText('A number from 0.5 to 14.').waitFor();
  });

  it('says that nothing is to be saved at one price, or what is missing, and keeps what is kept for an outage', async () => {
    const price = { currency: 'EUR', perKWh: new Array<number>(168).fill(0.3) };
    const flat = await open({ price });
    await flat.page.getByText('Every hour costs the same').waitFor();
    const none = await open({ price: null });
    await none.page.getByText('Tell Setup what a kilowatt-hour costs').waitFor();
    const { page, agent } = await open();
    await page.getByLabel('Kept for an outage, %').fill('60');
    await page.keyboard.press('Tab');
    await expect
      .poll(
        () => (agent.asked.find(a => a.method === 'POST')?.body as PlanSettings | undefined)?.outageReservePct,
        SETTLE,
      )
      .toBe(60);
    await page.getByText(/It never goes below 60\s%/).waitFor();
  });

  it('is reached from Outlast and leads back, and says where it stands without a place or a size', async () => {
    const { page } = await open({}, {}, { path: '/outlast' });
    await page.getByRole('link', { name: 'Plan: what would it run, and does the sun keep up?' }).click();
    await sentence(page)
      .filter({ hasText: /^This runs for/ })
      .waitFor();
    expect(new URL(page.url()).pathname).toBe('/outlast/plan');
    await page.getByRole('link', { name: 'Will it last until then?' }).click();
    await sentence(page).filter({ hasText: 'It reaches' }).waitFor();
    const bare = await open({ place: null, ratedWh: null });
    await sentence(bare.page).filter({ hasText: 'Its size is not known.' }).waitFor();
    expect(await bare.page.locator('rect.month').count()).toBe(0);
  });

  for (const [light, viewport] of [
    ['day', DESK],
    ['glare', PHONE],
    ['night', PHONE],
    ['day', { width: 320, height: 640 }],
  ] as const)
    it(`reads well in ${light} at ${viewport.width} px: nothing runs over, axe finds nothing`, async () => {
      const { page } = await open({}, {}, { viewport, light });
      await page.getByText('a month (').waitFor();
      await page.locator('rect.month').first().waitFor();
      await page.getByText('Month by month').click();
      await page.getByText('Why?').click();
      await page.getByRole('button', { name: 'Add a load' }).click();
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(viewport.width);
      expect(await axeViolations(page)).toEqual([]);
    });
});
