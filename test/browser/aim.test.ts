import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { contrastOf, digitsOf, type Heard, listenIn, smallTargets, violations } from '../support/aim-page.ts';
import type { FakeData } from '../support/fake-agent.ts';
import { EVENING_AT, shedStatus } from '../support/honey-shed.ts';
import { aimMessage, sunReading, threeMarks, yardAnswer, yardMark, yardVerdict } from '../support/honey-yard.ts';
import { DESK, describePage, PHONE, plain, seen, sentence } from '../support/page-stage.ts';
import { brightness, readPng } from '../support/png.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const SIZES = [{ width: 360, height: 640 }, PHONE, { width: 844, height: 390 }, DESK];
const LIGHTS = ['day', 'glare', 'night'] as const;
const LEAST_DIGIT_PX = 97;

const yard = (change: Partial<FakeData> = {}): FakeData => {
  const data = shedData({ reading: null }, { settings: shedSettings(), aim: yardAnswer(), ...change });
  data.messages.push(sunReading(214), aimMessage());
  return data;
};
const BETTER = 'C is better than B by 14 W';
const ready = (page: Page, text = BETTER) => sentence(page).filter({ hasText: text }).waitFor();

describePage('Aim', stage => {
  it('has digits that are read from three metres, on every phone in every light, open to everyone', async () => {
    const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    const { page, agent } = await stage.open(yard(), { path: '/aim', viewport: SIZES[0]!, light: 'day' });
    await ready(page);
    await page.getByRole('button', { name: /^C/ }).click();
    await page.locator('.more').getByRole('button', { name: 'Why?' }).click();
    await page.getByText('Here: 214 W on average since 19:59').waitFor();
    await page.evaluate(axe);
    for (const viewport of SIZES) {
      await page.setViewportSize(viewport);
      for (const light of LIGHTS) {
        await expect.poll(() => page.evaluate(() => document.documentElement.dataset.light)).toBe(light);
        const where = `${viewport.width} × ${viewport.height}, ${light}`;
        for (const [watts, text] of [
          [987, '987'],
          [1240, '1.24'],
        ] as const) {
          agent.push(sunReading(watts, watts, EVENING_AT + watts));
          await page.locator('aim-figure .digits').filter({ hasText: text }).waitFor();
          const { height, ink, reach, box, roomPx } = await digitsOf(page);
          expect([where, Math.min(height, ink)]).toEqual([
            where,
            expect.toSatisfy((px: number) => px >= LEAST_DIGIT_PX),
          ]);
          // Nothing is cut: what is written ends within its room, and that within the page.
          expect(reach).toBeLessThanOrEqual(box[0]! + box[2]! + 0.5);
          expect(box[0]! + box[2]!).toBeLessThanOrEqual(roomPx);
        }
        expect(await contrastOf(page)).toBeGreaterThanOrEqual(light === 'glare' ? 12 : 7);
        expect([where, await smallTargets(page)]).toEqual([where, []]);
        if (viewport !== DESK) expect([where, await violations(page)]).toEqual([where, []]);
        if (light === 'night') {
          const { mean, shareAbove } = brightness(readPng(await page.screenshot()), 0.25);
          expect([where, mean <= 0.03, shareAbove <= 0.05]).toEqual([where, true, true]);
        }
        await page.locator('#light').click();
      }
    }
    await page.setViewportSize({ width: 320, height: 640 });
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(320);
    expect((await digitsOf(page)).reach).toBeLessThanOrEqual(320);
    await page.getByRole('link', { name: 'More' }).click();
    await page.getByRole('link', { name: 'Wiring May I plug these panels in?' }).waitFor();
    expect([await smallTargets(page), await violations(page)]).toEqual([[], []]);
  }, 120_000);

  it('shifts nothing between 999 W and 1.00 kW, nor when the sentence changes', async () => {
    const { page, agent } = await stage.open(yard(), { path: '/aim', viewport: SIZES[0]!, reducedMotion: 'reduce' });
    await ready(page);
    await page.evaluate(async () => {
      await document.fonts.ready;
      (window as unknown as { shifts: number[] }).shifts = [];
      new PerformanceObserver(list => {
        for (const entry of list.getEntries())
          (window as unknown as { shifts: number[] }).shifts.push((entry as unknown as { value: number }).value);
      }).observe({ type: 'layout-shift' });
    });
    const before = (await digitsOf(page)).box;
    let seq = 2;
    for (const [watts, text, unit] of [
      [999, '999', 'W'],
      [1000, '1.00', 'kW'],
      [7, '7', 'W'],
      [12_400, '12.4', 'kW'],
      [null, '–', ''],
    ] as const) {
      agent.push(sunReading(watts, seq, EVENING_AT + seq++));
      await page.locator('aim-figure .digits').filter({ hasText: text }).waitFor();
      expect(await seen(page.locator('aim-figure .unit'))).toBe(unit);
      expect((await digitsOf(page)).box).toEqual(before);
    }
    // Two frames, so that a shift would have been reported.
    await page.evaluate(() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done))));
    expect(await page.evaluate(() => (window as unknown as { shifts: number[] }).shifts)).toEqual([]);
    expect(await page.evaluate(() => document.getAnimations().length)).toBe(0);
    const below = () => page.locator('aim-minutes').boundingBox();
    const place = await below();
    agent.push(aimMessage({ verdict: yardVerdict({ kind: 'clouds' }) }));
    await ready(page, 'Clouds are passing: hold still for a minute.');
    expect(await below()).toEqual(place);
  });

  it('asks for its station’s judgement, tells a new meaning politely and once, and asks no more on leaving', async () => {
    const { page, agent } = await stage.open(yard(), { path: '/aim' });
    await ready(page);
    await expect.poll(() => agent.heard.at(-1)).toMatchObject({ type: expect.stringMatching(/ack|subscribe/) });
    expect(agent.heard).toContainEqual(expect.objectContaining({ type: 'subscribe', aim: 'shed' }));
    const aloud = page.locator('aim-view > [role="status"], aim-view .unseen[role="status"]').first();
    expect(plain(await aloud.textContent())).toMatch(/^C is better than B by 14 W, give or take 5 W/);
    agent.push(aimMessage({ verdict: yardVerdict({ differenceW: 15 }) }));
    await ready(page, 'C is better than B by 15 W');
    expect(plain(await aloud.textContent())).toContain('14 W');
    agent.push(aimMessage({ verdict: yardVerdict({ kind: 'limited', limitedBy: 'full' }) }));
    await ready(page, 'Nothing can be ranked: the battery is full.');
    expect(plain(await aloud.textContent())).toContain('the battery is full');
    await page.getByRole('link', { name: 'Ledger' }).click();
    await sentence(page).filter({ hasText: 'from the sun since' }).waitFor();
    await expect
      .poll(() => agent.heard.findLast(m => (m as { type: string }).type === 'subscribe'))
      .not.toHaveProperty('aim');
  });

  it('greys the figure and promises nothing once its reading is old', async () => {
    const { page, agent } = await stage.open(yard(), { path: '/aim' });
    await ready(page);
    const mark = page.getByRole('button', { name: 'Mark this spot' });
    expect(await mark.isEnabled()).toBe(true);
    agent.push({ type: 'status', status: shedStatus({ phase: 'stale' }) });
    await sentence(page)
      .filter({ hasText: /^The last reading is .* old\. Nothing is said of this spot/ })
      .waitFor();
    expect(await page.locator('aim-figure').getAttribute('gone')).not.toBeNull();
    expect(Number(await page.locator('aim-figure .figure').evaluate(e => getComputedStyle(e).opacity))).toBeLessThan(1);
    expect(await mark.isEnabled()).toBe(false);
    agent.push({ type: 'status', status: shedStatus() });
    agent.push(sunReading(220, 9, EVENING_AT + 9000));
    await ready(page);
    expect(await page.locator('aim-figure').getAttribute('gone')).toBeNull();
  });

  it('marks a spot with one tap, names it, notes something, takes one back and begins a new walk', async () => {
    const data = yard({ mark: () => ({ mark: yardMark({ id: 4, letter: 'D' }), why: 'ok' }) });
    const { page, agent } = await stage.open(data, { path: '/aim', viewport: PHONE });
    await ready(page);
    const changes = () =>
      agent.asked.filter(a => /\/(marks|spots)$/.test(a.path)).map(a => [a.method, a.header, a.body]);
    await page.getByRole('button', { name: 'Mark this spot' }).click();
    await page.getByText('D is marked: 124 W, give or take 3 W.').waitFor();
    await page.getByRole('button', { name: /^B/ }).click();
    await page.getByLabel('Name of this spot').fill('fence');
    const row = page.locator('aim-marks');
    await row.getByLabel('Note').fill('beside the third post');
    await row.getByRole('button', { name: 'Keep' }).click();
    await page.getByLabel('Name of this spot').waitFor({ state: 'detached' });
    await page.getByRole('button', { name: 'Take back C' }).click();
    await page.getByRole('button', { name: 'New walk' }).click();
    await expect.poll(() => changes().length).toBe(5);
    expect(changes()).toEqual([
      ['POST', '1', {}],
      ['PUT', '1', { do: 'name', mark: 2, name: 'fence' }],
      ['PUT', '1', { do: 'note', mark: 2, note: 'beside the third post' }],
      ['PUT', '1', { do: 'undo' }],
      ['PUT', '1', { do: 'walk' }],
    ]);
  });

  it('says why a mark is not ranked, and offers to mark again the spot one was sent back to', async () => {
    const { page, agent } = await stage.open(yard(), { path: '/aim', viewport: PHONE });
    await ready(page);
    const marks = [...threeMarks().slice(0, 2), yardMark({ why: 'unsteady', now: null })];
    agent.push(aimMessage({ marks, verdict: yardVerdict({ kind: 'goBack', here: null }) }));
    await ready(page, 'Go back to B and mark it again.');
    expect(await seen(page.getByRole('button', { name: /^A / }))).toBe('A Not ranked: clouds were passing');
    await page.getByRole('button', { name: 'The panels are back at B: mark it again' }).click();
    await page.getByText('Not marked: it stood too short.').waitFor();
    await page.getByRole('button', { name: 'Mark this spot' }).click();
    await expect
      .poll(() => agent.asked.filter(a => a.path.endsWith('/marks')).map(a => a.body))
      .toEqual([{ again: 2 }, {}]);
  });

  it('sets where the panels stand and how, carries the simulated ones, and tells a refusal where it was tapped', async () => {
    const refusal = { code: 'REQUEST_INVALID', message: 'That spot is gone.', fix: 'Look at the list.' };
    const refuse = (change: unknown) => ((change as { spot?: string }).spot === 'fence' ? refusal : null);
    const { page, agent } = await stage.open(yard({ refuseAim: refuse }), { path: '/aim', expected: /400/ });
    await ready(page);
    const spots = page.getByRole('group', { name: 'Where the panels stand now' });
    expect(await seen(page.locator('aim-standing .pair'))).toContain('57 cm up for each metre of panel south');
    await page.getByLabel('Tilt').fill('120');
    await page.getByLabel('Tilt').blur();
    await page.getByText('A number from 0 (flat) to 90 (upright).').waitFor();
    await page.getByLabel('Tilt').fill('41,5');
    await page.getByLabel('Tilt').blur();
    await spots.getByRole('button', { name: 'hive stand' }).click();
    await spots.getByRole('button', { name: 'fence' }).click();
    await page.getByRole('alert').filter({ hasText: 'That spot is gone. Look at the list.' }).waitFor();
    await page
      .getByRole('group', { name: 'Carry the simulated panels to' })
      .getByRole('button', { name: 'step' })
      .click();
    await page.getByLabel('Its name').fill('barn roof');
    await page.keyboard.press('Enter');
    await expect
      .poll(() => agent.asked.filter(a => a.path.endsWith('/spots')).map(a => a.body))
      .toEqual([
        { do: 'change', spot: 'step', tiltDeg: 41.5 },
        { do: 'stand', spot: 'hive-stand' },
        { do: 'stand', spot: 'fence' },
        { do: 'carry', spot: 'step' },
        { do: 'add', name: 'barn roof' },
      ]);
  });

  it('says once, where it is looked at, that this browser lets the screen sleep', async () => {
    const without = async (page: Page): Promise<void> => {
      await page.addInitScript(() => Reflect.deleteProperty(Navigator.prototype, 'wakeLock'));
    };
    const { page } = await stage.open(yard(), { path: '/aim', viewport: PHONE, before: without });
    await ready(page);
    await page.locator('.acts').getByText('This browser lets the screen sleep: set the phone to keep it on.').waitFor();
    expect(await page.locator('aim-view p.small').getByText('lets the screen sleep').count()).toBe(1);
  });

  it('sounds from a tap, is silent when readings stop, and ends with the view; speaks where asked', async () => {
    const { page, agent } = await stage.open(yard(), { path: '/aim', viewport: PHONE, before: listenIn });
    await ready(page);
    const heard = () => page.evaluate(() => (window as unknown as { heard: Heard }).heard);
    const tone = page.getByRole('button', { name: 'Tone' });
    expect((await heard()).notes).toEqual([]);
    await tone.click();
    await page.getByRole('button', { name: 'Stop', exact: true }).waitFor();
    // The best so far is heard at the highest pitch, half of it in the middle of the way.
    await expect.poll(async () => (await heard()).notes.some(hz => Math.abs(hz - 1320) < 5)).toBe(true);
    agent.push(sunReading(107, 2, EVENING_AT + 200));
    await expect.poll(async () => (await heard()).notes.some(hz => Math.abs(hz - 440 * 3 ** 0.5) < 8)).toBe(true);
    agent.push({ type: 'status', status: shedStatus({ phase: 'stale' }) });
    await ready(page, 'The last reading is');
    await expect.poll(async () => (await heard()).notes.slice(-2).map(Math.round)).toEqual([330, 247]);
    await page.getByRole('button', { name: 'Speak the watts every 5 s' }).click();
    expect((await heard()).said).toEqual([]);
    agent.push({ type: 'status', status: shedStatus() });
    agent.push(sunReading(214, 3, EVENING_AT + 400));
    await expect.poll(async () => Math.round((await heard()).notes.at(-1)!)).toBeGreaterThan(1000);
    const speak = page.getByRole('button', { name: 'Speak the watts every 5 s' });
    await speak.click();
    agent.push(sunReading(214, 4, EVENING_AT + 600));
    await speak.click();
    await expect.poll(async () => (await heard()).said).toEqual(['214 watts']);
    await page.getByRole('link', { name: 'More' }).click();
    await page.getByRole('link', { name: /^Setup/ }).waitFor();
    await expect.poll(async () => (await heard()).contexts).toEqual(['closed']);
  });

  it('tells a device that may only look how it could mark', async () => {
    const { page } = await stage.open(yard({ scope: 'view' }), { path: '/aim', viewport: PHONE });
    await ready(page);
    await page.getByRole('button', { name: 'How to mark spots from here' }).click();
    await page.getByText('Open in it, once, the link that wattkeep printed').waitFor();
    for (const name of ['Mark this spot', 'Take back C', 'New walk', 'Add'])
      expect(await page.getByRole('button', { name, exact: true }).count()).toBe(0);
    expect(await page.getByRole('button', { name: 'fence' }).isEnabled()).toBe(false);
  });

  it('is in glare by day until a light is chosen, keeps the screen awake, and gives both back', async () => {
    const { page } = await stage.open(yard(), {
      path: '/aim',
      viewport: PHONE,
      before: async target => {
        await target.addInitScript(() => {
          const locks = { held: 0 };
          Object.assign(window, { locks });
          const request = async () => {
            locks.held++;
            return { release: async () => void locks.held-- };
          };
          Object.defineProperty(navigator, 'wakeLock', { value: { request } });
        });
      },
    });
    await ready(page);
    const light = () => page.evaluate(() => document.documentElement.dataset.light);
    const held = () => page.evaluate(() => (window as unknown as { locks: { held: number } }).locks.held);
    await expect.poll(light).toBe('glare');
    expect(await held()).toBe(1);
    await page.getByRole('link', { name: 'More' }).click();
    await page.getByRole('link', { name: 'Setup Which station, which panels, where?' }).waitFor();
    expect([await light(), await held()]).toEqual(['day', 0]);
    expect(await seen(page.locator('#menu'))).toBe('Now Aim Outlast Ledger More');
    await page.getByRole('link', { name: 'Aim' }).click();
    await expect.poll(light).toBe('glare');
    await page.keyboard.press('l');
    expect(await light()).toBe('night');
    await page.reload();
    await ready(page);
    expect(await light()).toBe('night');
  });

  it('is walked through by keyboard in reading order, each with a visible focus', async () => {
    const { page, agent } = await stage.open(yard(), { path: '/aim' });
    await ready(page);
    await page.locator('main').focus();
    const focused = () =>
      page.evaluate(() => {
        let node = document.activeElement;
        while (node?.shadowRoot?.activeElement) node = node.shadowRoot.activeElement;
        const outline = node === null ? 'none' : getComputedStyle(node).outlineStyle;
        return `${(node?.getAttribute('aria-label') ?? node?.textContent ?? '').replace(/\s+/g, ' ').trim()}${outline === 'none' ? ' (no focus seen)' : ''}`;
      });
    const names: string[] = [];
    for (let i = 0; i < 7; i++) {
      await page.keyboard.press('Tab');
      names.push(await focused());
    }
    expect(names.map(name => name.replace(/,.*/, ''))).toEqual([
      'Mark this spot',
      'Tone',
      expect.stringMatching(/^C/),
      expect.stringMatching(/^B/),
      expect.stringMatching(/^A/),
      'Take back C',
      'New walk',
    ]);
    await page.getByRole('button', { name: 'Mark this spot' }).focus();
    await page.keyboard.press('Enter');
    await expect.poll(() => agent.asked.some(a => a.path.endsWith('/marks'))).toBe(true);
  });
});
