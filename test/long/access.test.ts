import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { AxeResults, RunOptions } from 'axe-core';
import type { Page } from 'playwright-core';
import { beforeAll, expect, it } from 'vitest';
import { shedAlarm } from '../support/alarms.ts';
import { EVENING_AT } from '../support/honey-shed.ts';
import { DESK, describePage, PHONE, plain, seen, sentence } from '../support/page-stage.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

let axe = '';
beforeAll(async () => {
  axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
});

/** What axe finds wrong with the page as it is; the page must have axe already. */
const violations = (page: Page): Promise<string[]> =>
  page.evaluate(async () => {
    const { axe } = window as unknown as { axe: { run(options: RunOptions): Promise<AxeResults> } };
    // Every rule runs; what passed is only not told at length.
    const found = await axe.run({ resultTypes: ['violations'] });
    return found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`);
  });

const VIEWS = ['/', '/outlast', '/ledger', '/wiring', '/setup'] as const;
const LIGHTS = ['day', 'glare', 'night'] as const;
const SIZES = { phone: PHONE, desk: DESK };

describePage('every view is open to everyone', stage => {
  for (const path of VIEWS) {
    for (const [size, viewport] of Object.entries(SIZES)) {
      it(`axe finds nothing on ${path} on a ${size}, by day, glare and night`, async () => {
        const { page } = await stage.open(shedData({}, { settings: shedSettings() }), { path, viewport });
        await sentence(page)
          .filter({ hasText: /At least until|It reaches|from the sun|Honey shed:|in series/ })
          .waitFor();
        if (path === '/') await page.locator('time-chart canvas').waitFor();
        if (path === '/ledger') await page.locator('ledger-chart canvas').waitFor();
        if (path === '/') await page.getByRole('button', { name: 'Why?' }).click();
        for (const details of await page.locator('details summary').all()) await details.click();
        // Evaluated by the debugger: the page's own policy stays as strict as it is.
        await page.evaluate(axe);
        for (const light of LIGHTS) {
          await expect.poll(() => page.evaluate(() => document.documentElement.dataset.light)).toBe(light);
          expect([light, await violations(page)]).toEqual([light, []]);
          await page.locator('#light').click();
        }
      }, 60_000);
    }
  }

  it('axe finds nothing on alarms that call, are acknowledged, over and set aside; they fit 320 px', async () => {
    const data = shedData();
    const instant = new Date(EVENING_AT + 3_600_000).toISOString();
    const alarms = [
      shedAlarm(),
      shedAlarm({ id: 'a2', kind: 'cold', state: 'acknowledged', values: { tempC: -3, chargeW: 90 } }),
      shedAlarm({ id: 'a3', kind: 'unsaved', station: null, state: 'cleared', clearedAt: instant, values: {} }),
      shedAlarm({ id: 'a4', kind: 'fault', shelvedUntilAt: instant, values: { fault: 'overload' } }),
    ];
    data.messages.push({ type: 'alarms', alarms });
    const { page } = await stage.open(data, { path: '/more', viewport: { width: 320, height: 800 } });
    await page.getByRole('alert').waitFor();
    for (const details of await page.locator('alarm-lines details summary').all()) await details.click();
    await page.evaluate(axe);
    for (const light of LIGHTS) {
      await expect.poll(() => page.evaluate(() => document.documentElement.dataset.light)).toBe(light);
      expect([light, await violations(page)]).toEqual([light, []]);
      await page.locator('#light').click();
    }
    for (const button of await page.locator('alarm-lines button, alarm-lines summary').all())
      expect((await button.boundingBox())!.height).toBeGreaterThanOrEqual(48);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(320);
  });

  it.each(VIEWS)('%s needs no sideways scroll at 320 px', async path => {
    const { page } = await stage.open(shedData({}, { settings: shedSettings() }), {
      path,
      viewport: { width: 320, height: 640 },
    });
    await sentence(page)
      .filter({ hasText: /At least until|It reaches|from the sun|Honey shed:|in series/ })
      .waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(320);
  });

  it('every part of the Now view is reached by Tab in reading order, with a visible focus', async () => {
    const { page } = await stage.open(shedData());
    await page.locator('time-chart canvas').waitFor();
    const names: string[] = [];
    for (let i = 0; i < 13; i++) {
      await page.keyboard.press('Tab');
      names.push(
        await page.evaluate(() => {
          let node = document.activeElement;
          while (node?.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
          const outline = node === null ? 'none' : getComputedStyle(node).outlineStyle;
          return `${node?.getAttribute('aria-label') ?? node?.textContent?.trim()}${outline === 'none' ? ' (no focus seen)' : ''}`;
        }),
      );
    }
    expect(names).toEqual([
      'To the view',
      'Now',
      'Aim',
      'Outlast',
      'Ledger',
      'Trials',
      'Wiring',
      'Setup',
      'Light: Day. Change it (key L)',
      'Why?',
      'Level, past and ahead',
      'The drawing in numbers',
      expect.anything(),
    ]);
  });

  it('arrow keys, Home and End read the drawing', async () => {
    const { page } = await stage.open(shedData());
    const drawing = page.getByRole('slider', { name: 'Level, past and ahead' });
    await drawing.focus();
    const value = async () => plain(await drawing.getAttribute('aria-valuetext'));
    await expect.poll(value).toMatch(/^20:00: 52 % left/);
    await page.keyboard.press('ArrowRight');
    await expect.poll(value).toMatch(/^20:10: likely 51 %, four times in five 5\d % to 5\d %$/);
    await page.keyboard.press('Home');
    await expect.poll(value).toMatch(/^08:00: .* left/);
    await page.keyboard.press('End');
    await expect.poll(value).toContain('four times in five');
    expect(await seen(page.locator('time-chart .reading'))).toBe(await value());
  });

  it('moves focus to the view when a link is followed, and back works', async () => {
    const { page } = await stage.open(shedData());
    // Before the page's code is there, a link is an ordinary one.
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    await page.getByRole('link', { name: 'Ledger' }).click();
    await sentence(page).filter({ hasText: 'from the sun since' }).waitFor();
    expect(await page.evaluate(() => document.activeElement?.id)).toBe('view');
    expect(await seen(page.locator('#menu a[aria-current]'))).toBe('Ledger');
    await page.goBack();
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
  });

  it('tells a change of meaning politely, not each second', async () => {
    const { page, agent } = await stage.open(shedData());
    const aloud = page.locator('now-view [role="status"]').first();
    await aloud.filter({ hasText: 'At least until 01:20' }).waitFor({ state: 'attached' });
    await page.evaluate(() => {
      const status = document.querySelector('now-view')!.shadowRoot!.querySelector('[role="status"]')!;
      (window as unknown as { told: number }).told = 0;
      new MutationObserver(() => (window as unknown as { told: number }).told++).observe(status, {
        childList: true,
        characterData: true,
        subtree: true,
      });
    });
    const reading = {
      station: 'shed',
      session: 's1',
      seq: 2,
      at: new Date(EVENING_AT).toISOString(),
      clock: 'synced',
      quantities: { inputPowerW: 0, outputPowerW: 44, stateOfChargePct: 52 },
      states: {},
      quality: 'good',
      reasons: {},
    } as const;
    agent.push({ type: 'reading', ageMs: 0, reading });
    await page.locator('table.figures').filter({ hasText: '44' }).waitFor();
    expect(await page.evaluate(() => (window as unknown as { told: number }).told)).toBe(0);
    agent.push({ type: 'status', status: { ...shedStatusLost } });
    await aloud.filter({ hasText: 'Disconnected' }).waitFor({ state: 'attached' });
  });

  it('moves nothing where reduced motion is wished', async () => {
    const { page } = await stage.open(shedData(), { reducedMotion: 'reduce' });
    await page.locator('time-chart canvas').waitFor();
    expect(await page.evaluate(() => document.getAnimations().length)).toBe(0);
  });

  it('does not shift when numbers change', async () => {
    const { page, agent } = await stage.open(shedData());
    await page.locator('time-chart canvas').waitFor();
    const place = () =>
      page.locator('table.figures td').evaluateAll(cells =>
        cells.map(cell => {
          const b = cell.getBoundingClientRect();
          return [b.x, b.y, b.width];
        }),
      );
    const before = await place();
    for (const watts of [999, 1, 1888]) {
      agent.push({
        type: 'reading',
        ageMs: 0,
        reading: {
          station: 'shed',
          session: 's1',
          seq: watts,
          at: new Date(EVENING_AT).toISOString(),
          clock: 'synced',
          quantities: { inputPowerW: 0, outputPowerW: watts, stateOfChargePct: 52 },
          states: {},
          quality: 'good',
          reasons: {},
        },
      });
      await page
        .locator('table.figures')
        .filter({ hasText: watts > 1000 ? '1.89' : String(watts) })
        .waitFor();
      expect(await place()).toEqual(before);
    }
  });
});

const shedStatusLost = {
  station: 'shed',
  phase: 'retrying',
  failure: 'unplugged',
  attempt: 1,
  attemptsAllowed: 10,
  nextTryInMs: 1000,
  staleAfterMs: 5000,
  link: '/dev/ttyUSB0',
  accepted: 1,
  rejected: {},
} as const;
