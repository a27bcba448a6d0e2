import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { shedStation } from '../support/honey-shed.ts';
import { DESK, describePage, PHONE, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';
import { SHED_PANEL, SHED_PORT } from '../support/wired-shed.ts';

type Shed = ReturnType<typeof shedSettings>['station'][number];
const wired = (more: Partial<Shed> = {}) => {
  const settings = shedSettings();
  return shedData({}, { settings: { ...settings, station: [{ ...settings.station[0]!, ...more }] } });
};

/** Words of the drawing that touch a lead, a fuse or the port's edge as the browser really set them. */
const touched = (page: Page) =>
  page.locator('svg.wiring').evaluate(drawing => {
    const boxes = (selector: string) =>
      [...drawing.querySelectorAll<SVGGraphicsElement>(selector)].map(node => ({ node, box: node.getBBox() }));
    const stretches = [...drawing.querySelectorAll('polyline')].flatMap(line => {
      const points = line
        .getAttribute('points')!
        .split(' ')
        .map(pair => pair.split(',').map(Number));
      return points.slice(1).map(([x2, y2], i) => {
        const [x1, y1] = points[i]!;
        return {
          x: Math.min(x1!, x2!),
          y: Math.min(y1!, y2!),
          width: Math.abs(x2! - x1!),
          height: Math.abs(y2! - y1!),
        };
      });
    });
    const solid = [...stretches, ...boxes('.fuse').map(({ box }) => box)];
    return boxes('text').flatMap(({ node, box: a }) =>
      solid.some(b => a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height)
        ? [node.textContent]
        : [],
    );
  });

describePage('Wiring', stage => {
  it('says whether the panels may be plugged in, and on what that rests', async () => {
    const { page } = await stage.open(wired());
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    await page.getByRole('link', { name: 'Wiring' }).click();
    await sentence(page).filter({ hasText: 'Three in series: fits.' }).waitFor();
    expect((await seen(sure(page))).replaceAll('\u2060', '')).toBe(
      'Coldest morning −15 °C · three 90 W panels, Voc 22.4 V, Isc 5.1 A, −0.31 %/K · port 16–82 V, 9 A, 400 W',
    );
    expect(await page.locator('svg.ruler').first().getAttribute('aria-label')).toContain(
      '82 V: a hard stop'.replace(' ', '\u00a0'),
    );
    expect(await seen(page.locator('table.ways'))).toMatch(
      /Three in parallel do not connect · .* Too many amps: 19\.1 A/,
    );
  });

  for (const viewport of [PHONE, DESK]) {
    it(`keeps every word off every lead at ${viewport.width} px, in each way and light`, async () => {
      const { page } = await stage.open(wired({ panel: [{ ...SHED_PANEL, count: 6 }] }), { path: '/wiring', viewport });
      await page.locator('svg.wiring').waitFor();
      for (const summary of await page.locator('details summary').all()) await summary.click();
      const ways = page.locator('table.ways button');
      for (let i = 0; i < (await ways.count()); i++) {
        await ways.nth(i).click();
        expect(await ways.nth(i).getAttribute('aria-pressed')).toBe('true');
        expect([await ways.nth(i).textContent(), await touched(page)]).toEqual([await ways.nth(i).textContent(), []]);
      }
      await page.locator('#light').click();
      expect(await touched(page)).toEqual([]);
    }, 60_000);
  }

  it('draws another way by the keyboard, with its branch connectors and fuses', async () => {
    const { page } = await stage.open(wired(), { path: '/wiring' });
    await page.getByRole('button', { name: 'Three in parallel' }).focus();
    await page.keyboard.press('Enter');
    await sentence(page).filter({ hasText: 'Three in parallel: do not connect.' }).waitFor();
    expect(await page.locator('svg.wiring .fuse').count()).toBe(3);
    expect(await page.locator('svg.wiring .joint').count()).toBe(6);
    expect(await page.locator('svg.ruler .beyond').count()).toBe(1);
  });

  it('tries another cold and another number without saving', async () => {
    const { page, agent } = await stage.open(wired(), { path: '/wiring' });
    await page.getByLabel('Coldest morning, °C').fill('-40');
    await sentence(page).filter({ hasText: 'Two in series: fits.' }).waitFor();
    await page.getByLabel('Panels used').fill('none');
    await page.getByText('This needs a number from 1 to 40.').waitFor();
    await page.getByRole('button', { name: 'As in Setup' }).click();
    await sentence(page).filter({ hasText: 'Three in series: fits.' }).waitFor();
    expect(agent.asked.filter(a => a.method !== 'GET')).toEqual([]);
  });

  it('says what a meter should show and what its reading points to', async () => {
    const { page } = await stage.open(wired(), { path: '/wiring' });
    // It is evening where the shed stands.
    expect(await seen(page.locator('.expected'))).toMatch(/^The sun is down/);
    await page.getByLabel('Light on the panels now').selectOption('bright');
    expect(await seen(page.locator('.expected'))).toMatch(/should show [\d.]+ V to [\d.]+ V now, \+ on the pin/);
    const told = page.locator('meter-check [role="status"]');
    await page.getByLabel('The meter shows, V').fill('-63');
    await expect.poll(() => seen(told)).toContain('plus and minus are swapped');
    await page.getByLabel('The meter shows, V').fill('42');
    await expect.poll(() => seen(told)).toContain('a panel seems to be missing');
  });

  it('says what is missing and leads to that group of Setup', async () => {
    const { page } = await stage.open(wired({ solarPort: [] }), { path: '/wiring' });
    await sentence(page).filter({ hasText: 'Tell Setup your panels and the port.' }).waitFor();
    await page.getByRole('link', { name: 'Tell the port' }).click();
    await page.getByRole('button', { name: 'Add a solar input' }).waitFor();
    expect(await page.getByLabel('Floor, %').isVisible()).toBe(false);
  });

  it('never says fits over an incomplete datasheet', async () => {
    const { shortCircuitA: _, ...panel } = SHED_PANEL;
    const { page } = await stage.open(wired({ panel: [panel as Shed['panel'][number]] }), { path: '/wiring' });
    await sentence(page).filter({ hasText: 'cannot say' }).waitFor();
    expect(await seen(page.locator('table.ways'))).not.toContain('fits');
    await page.getByRole('link', { name: 'Tell the panels' }).waitFor();
  });

  it('fills several ports together', async () => {
    const two = {
      panel: [{ ...SHED_PANEL, count: 6 }],
      solarPort: [
        { ...SHED_PORT, name: 'Left' },
        { ...SHED_PORT, name: 'Right' },
      ],
    };
    const { page } = await stage.open(wired(two), { path: '/wiring' });
    await page.getByText('Left: three in series; Right: three in series').waitFor();
    await page.getByLabel('Port', { exact: true }).selectOption('Right');
    expect(await page.locator('svg.wiring .on-port').last().textContent()).toBe('Right');
    await page.locator('.together li').nth(1).getByRole('button').first().click();
    expect(await page.locator('svg.wiring .on-port').last().textContent()).toBe('Left');
  });

  it('fills the ports of two stations together from the panels of both', async () => {
    const settings = shedSettings();
    const shed = { ...settings.station[0]!, panel: [{ ...SHED_PANEL, count: 5 }] };
    const hut = { ...shed, id: 'hut', name: 'Hut', panel: [{ ...SHED_PANEL, count: 1 }] };
    const stations = [shedStation(), { ...shedStation(), id: 'hut', name: 'Hut' }];
    const data = shedData({}, { settings: { ...settings, station: [shed, hut] }, stations });
    const { page } = await stage.open(data, { path: '/wiring' });
    await page.getByRole('heading', { name: 'Both stations together' }).waitFor();
    const told = plain(await seen(page.locator('section.together')));
    expect(told).toContain('Their six panels are one lot and go where they bring most');
    expect(told).toContain('Honey shed, Solar port: three in series; Hut, Solar port: three in series · fits · 540 W');
  });

  it('prints black on white, without what cannot be used on paper, whatever the light', async () => {
    const { page } = await stage.open(wired(), { path: '/wiring', light: 'night' });
    await page.locator('svg.wiring').waitFor();
    await page.emulateMedia({ media: 'print' });
    const colours = await page.evaluate(() => {
      const panel = document.querySelector('wiring-view')!.shadowRoot!.querySelector('.panel')!;
      return [getComputedStyle(document.documentElement).backgroundColor, getComputedStyle(panel).stroke];
    });
    expect(colours).toEqual(['rgb(255, 255, 255)', 'rgb(0, 0, 0)']);
    for (const hidden of ['#menu', '.what-if', '.fields', '.actions'])
      expect([hidden, await page.locator(hidden).first().isVisible()]).toEqual([hidden, false]);
    expect(plain(await sentence(page).textContent())).toBe('Three in series: fits.');
    expect((await page.pdf({ format: 'A4' })).byteLength).toBeGreaterThan(10_000);
  });
});
