import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import type { AimAnswer } from '#messages';
import type { FakeData } from '../support/fake-agent.ts';
import { EVENING_AT } from '../support/honey-shed.ts';
import { learnedYard, trackOn } from '../support/honey-spots.ts';
import { aimMessage, sunReading, yardAnswer } from '../support/honey-yard.ts';
import { DESK, describePage, PHONE, plain, seen } from '../support/page-stage.ts';
import { pointed } from '../support/pointed.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const SMALL = { width: 360, height: 640 };
const LIGHTS = ['day', 'glare', 'night'] as const;
const LEAST_TARGET_PX = 48;
const LEAST_TEXT_PX = 16;
/** Eight hours before the shed's evening: shortly after noon. */
const NOON_AT = EVENING_AT - 7.4 * 3_600_000;
const SETTLE = { timeout: 15_000 };

const yard = (aim: AimAnswer = learnedYard(NOON_AT)): FakeData => {
  const data = shedData({ reading: null }, { settings: shedSettings(), aim, nowAt: NOON_AT });
  data.messages.push(sunReading(141, 1, NOON_AT), aimMessage());
  return data;
};
const element = (page: Page) => page.locator('aim-spots');
const spot = (page: Page, name: string) =>
  element(page)
    .locator('.spots > li')
    .filter({ has: page.getByRole('heading', { name, exact: true }) });

describePage('Spots', stage => {
  it('are read and used on a small phone in every light, all of it unfolded, open to everyone', async () => {
    const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    const { page } = await stage.open(yard(), { path: '/aim', viewport: SMALL, light: 'day' });
    await element(page).locator('svg.clock').waitFor();
    for (const summary of await element(page).locator('summary').all())
      await summary.evaluate(s => (s as HTMLElement).click());
    await element(page).locator('svg.skyline').first().waitFor();
    await page.evaluate(axe);
    for (const light of LIGHTS) {
      await expect.poll(() => page.evaluate(() => document.documentElement.dataset.light)).toBe(light);
      const found = await page.evaluate(() =>
        (window as unknown as { axe: { run(of: object): Promise<AxeResults> } }).axe.run({
          fromShadowDom: ['aim-view', 'aim-spots'],
        }),
      );
      const violations = found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`);
      expect([light, violations]).toEqual([light, []]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(SMALL.width);
      const small = await element(page).evaluate(
        (host, [target, text]) => {
          const inside = (root: ShadowRoot): HTMLElement[] =>
            [...root.querySelectorAll<HTMLElement>('*')].flatMap(e =>
              e.shadowRoot === null ? [e] : [e, ...inside(e.shadowRoot)],
            );
          const all = inside(host.shadowRoot!);
          const tapped = all
            .filter(
              e => e.matches('a, button, summary, input, textarea') && e.getBoundingClientRect().height < target! - 0.5,
            )
            .map(e => e.textContent);
          const tiny = all.filter(e => Number.parseFloat(getComputedStyle(e).fontSize) < text!).map(e => e.textContent);
          return [...tapped, ...tiny];
        },
        [LEAST_TARGET_PX, LEAST_TEXT_PX] as const,
      );
      expect([light, small]).toEqual([light, []]);
      await page.locator('#light').click();
    }
  }, 120_000);

  it('say by the clock where there is sun, what comes next, and the best round', async () => {
    const { page } = await stage.open(yard(), { path: '/aim', viewport: PHONE });
    await element(page).locator('svg.clock').waitFor();
    const said = plain(await element(page).locator('svg.clock').getAttribute('aria-label'));
    expect(said).toContain('Sun and shade by the clock; it is 12:36 now.');
    expect(said).toContain('step: not known 07:13 to 08:12, sun 08:12 to 14:49, shade 14:49 to 16:12');
    expect(said).toContain('hive stand: not known.');
    expect(await element(page).locator('svg.clock .shade').count()).toBe(2);
    expect(await seen(spot(page, 'step').locator('b'))).toBe('Shade from about 14:50, give or take 10 min');
    expect(await seen(spot(page, 'fence').locator('b'))).toBe('Sun for the rest of the day, as far as seen');
    expect(await seen(spot(page, 'hive stand').locator('b'))).toBe(
      'One clear day seen there: too few to tell this day',
    );
    expect(await seen(spot(page, 'step'))).toContain('tilt 35° · facing 180° (south) · panels here since');
    expect(await seen(element(page).locator('.lead'))).toBe(
      'Step until 14:30, then fence. About 210 Wh more than staying at step, under a clear sky.',
    );
  });

  it('show under Why? what stands around a spot, and say it in a sentence and a table', async () => {
    const { page } = await stage.open(yard(), { path: '/aim', viewport: DESK });
    const step = spot(page, 'step');
    await step.getByText('Why?').click();
    await step.locator('svg.skyline').waitFor();
    expect(await step.locator('svg.skyline .edge').count()).toBe(2);
    expect(await seen(step)).toContain('Seen on 7 clear days, 4 180 minutes that told something.');
    expect(await step.locator('svg.skyline').getAttribute('aria-label')).toContain('Edges were found');
    await step.getByText('The drawing in numbers').click();
    const rows = (await step.locator('tbody tr').allTextContents()).map(row => plain(row));
    expect(rows).toHaveLength(32);
    expect(rows.some(row => row.startsWith('213° 23° 26° 21°') || row.startsWith('213°23°26°21°'))).toBe(true);
  });

  it('are renamed, noted and forgotten by keyboard; what is refused is told and what was typed stays', async () => {
    let refusal: { code: string; message: string; fix: string } | null = {
      code: 'REQUEST_INVALID',
      message: 'Another spot has this name.',
      fix: 'Choose another one.',
    };
    const { page, agent } = await stage.open(
      { ...yard(), refuseAim: () => refusal },
      { path: '/aim', viewport: PHONE, expected: /400/ },
    );
    const fence = spot(page, 'fence');
    await fence.locator('summary', { hasText: 'Change' }).focus();
    await page.keyboard.press('Enter');
    await fence.getByLabel('Name').fill('');
    await page.keyboard.press('Enter');
    await fence.getByText('A name has 1 to 40 letters.').waitFor();
    await fence.getByLabel('Name').fill('garden fence');
    await fence.getByLabel('Note').fill('gate must stay shut');
    await fence.getByRole('button', { name: 'Keep' }).focus();
    await page.keyboard.press('Enter');
    await fence.getByText('Another spot has this name. Choose another one.').waitFor();
    expect(await fence.getByLabel('Name').inputValue()).toBe('garden fence');
    refusal = null;
    const changes = () => agent.asked.filter(a => a.method === 'POST' && a.path.endsWith('/spots'));
    await page.keyboard.press('Enter');
    await expect.poll(() => changes().length, SETTLE).toBe(2);
    expect(changes()[1]!.body).toEqual({
      do: 'change',
      spot: 'fence',
      name: 'garden fence',
      note: 'gate must stay shut',
    });
    await fence.locator('summary', { hasText: 'Change' }).click();
    await fence.getByRole('button', { name: 'Forget this spot' }).click();
    await fence.getByText('Forget fence and what was learned there?').waitFor();
    await fence.getByRole('button', { name: 'Forget it' }).click();
    await expect.poll(() => changes().at(-1)?.body, SETTLE).toEqual({ do: 'remove', spot: 'fence' });
  });

  it('draw nothing from thin evidence, and say what is missing without a place', async () => {
    const thin = yardAnswer({ pointing: pointed(), track: trackOn(NOON_AT) });
    const { page } = await stage.open(yard(thin), { path: '/aim', viewport: PHONE });
    await element(page).locator('svg.clock').waitFor();
    expect(await element(page).locator('svg.clock .sun, svg.clock .shade').count()).toBe(0);
    expect(await element(page).locator('svg.clock .unknown').count()).toBe(3);
    expect(await seen(element(page).locator('section > .small').first())).toContain('Nothing is drawn yet');
    const { page: lost } = await stage.open(yard(yardAnswer()), { path: '/aim', viewport: PHONE });
    await element(lost).getByText('Without a place nobody knows where the sun goes today.').waitFor();
    expect(await element(lost).locator('svg').count()).toBe(0);
  });
});
