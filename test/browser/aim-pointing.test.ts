import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';
import type { AxeResults } from 'axe-core';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import type { WirePointing } from '#messages';
import type { FakeData } from '../support/fake-agent.ts';
import { aimMessage, sunReading, yardAnswer } from '../support/honey-yard.ts';
import { describePage, PHONE, plain, seen } from '../support/page-stage.ts';
import { pointed, shadedPointed } from '../support/pointed.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const SMALL = { width: 360, height: 640 };
const LIGHTS = ['day', 'glare', 'night'] as const;
const LEAST_TARGET_PX = 48;
const LEAST_TEXT_PX = 16;

const yard = (pointing: WirePointing | null): FakeData => {
  const data = shedData({ reading: null }, { settings: shedSettings(), aim: yardAnswer({ pointing }) });
  data.messages.push(sunReading(141), aimMessage());
  return data;
};
const element = (page: Page) => page.locator('aim-pointing');
const lead = (page: Page) => element(page).locator('.lead');
const unfold = async (page: Page) => {
  for (const summary of await element(page).locator('summary').all()) await summary.click();
};

describePage('Where to point', stage => {
  it('is read and used on a small phone in every light, all of it unfolded, open to everyone', async () => {
    const axe = await readFile(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
    const { page } = await stage.open(yard(shadedPointed()), { path: '/aim', viewport: SMALL, light: 'day' });
    await lead(page).waitFor();
    await unfold(page);
    await page.evaluate(axe);
    for (const light of LIGHTS) {
      await expect.poll(() => page.evaluate(() => document.documentElement.dataset.light)).toBe(light);
      const found = await page.evaluate(() => (window as unknown as { axe: { run(): Promise<AxeResults> } }).axe.run());
      const violations = found.violations.map(v => `${v.id}: ${v.nodes.map(n => n.target.join(' ')).join(', ')}`);
      expect([light, violations]).toEqual([light, []]);
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(SMALL.width);
      const small = await element(page).evaluate(
        (host, [target, text]) => {
          const all = [...host.shadowRoot!.querySelectorAll<HTMLElement>('*')];
          const tapped = all
            .filter(e => e.matches('a, button, summary') && e.getBoundingClientRect().height < target! - 0.5)
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

  it('says how to set them, what they gather each way, and what turning them gains', async () => {
    const { page } = await stage.open(yard(pointed()), { path: '/aim', viewport: PHONE });
    await lead(page).waitFor();
    expect(await seen(lead(page))).toMatch(
      /^Turn to 246° \(west-south-west\), tilt 48°\. Raise the back edge 74 cm for each metre of panel\. Left so until sunset at \d\d:\d\d they gather about 1 080 Wh without clouds\.$/,
    );
    const text = plain(await element(page).evaluate(host => host.shadowRoot!.textContent));
    expect(text).toContain('Turning them now gains about 270 Wh.');
    expect(text).toMatch(/Turned once at \d\d:\d\d: 96 Wh more/);
    expect(text).toContain('A compass shows magnetic north');
    expect(text).toContain('As they stand, 185 W to 235 W can be expected in clear sun now.');
    expect(text).not.toContain('Why so few watts');
    expect(await element(page).locator('table.planes').first().locator('tbody').first().textContent()).toMatch(
      /left alone[\s\S]*most watts now/,
    );
  });

  it('leads from a shadow to where the panels look, with drawings that say the same', async () => {
    const { page } = await stage.open(yard(pointed()), { path: '/aim', viewport: PHONE });
    await lead(page).waitFor();
    await element(page).getByText('Without a compass: a peg’s shadow').click();
    await expect
      .poll(() => seen(element(page).locator('ol').first()))
      .toContain('Its shadow now points to 32° (north-north-east) and is 0.80 m long');
    expect(await seen(element(page).locator('ol').first())).toContain('To look to 246°, turn 34° to the right.');
    expect(await element(page).locator('svg.above').getAttribute('aria-label')).toBe(
      'From above, north at the top: the shadow points to 32°, the panels look to 246°.',
    );
    expect(plain(await element(page).locator('svg.side').getAttribute('aria-label'))).toContain('stands 74 cm up');
    // As the browser set them, no word lies on a line.
    const touched = await element(page).evaluate(host =>
      [...host.shadowRoot!.querySelectorAll('svg')].flatMap(drawing => {
        const lines = [...drawing.querySelectorAll('line')];
        return [...drawing.querySelectorAll('text')].flatMap(text => {
          const box = text.getBBox();
          const on = lines.some(line =>
            Array.from({ length: 61 }, (_, i) => i / 60).some(t => {
              const at = (a: SVGAnimatedLength, b: SVGAnimatedLength) =>
                a.baseVal.value + t * (b.baseVal.value - a.baseVal.value);
              const [x, y] = [at(line.x1, line.x2), at(line.y1, line.y2)];
              return x > box.x && x < box.x + box.width && y > box.y && y < box.y + box.height;
            }),
          );
          return on ? [text.textContent] : [];
        });
      }),
    );
    expect(touched).toEqual([]);
  });

  it('ranks why so few watts come in, each with one thing to look at', async () => {
    const { page } = await stage.open(yard(shadedPointed()), { path: '/aim', viewport: PHONE });
    const causes = element(page).locator('.causes li');
    await causes.first().waitFor();
    expect(await causes.count()).toBe(3);
    expect(await seen(causes.first())).toBe(
      'One panel is in shade · likely · would explain 70 W Look along the panels for a shadow, even a narrow one, and move them out of it.',
    );
    expect(await seen(causes.nth(1))).not.toContain('likely');
  });

  it('says when the sun rises by night, and what to tell where no place is known', async () => {
    const night = pointed({ bestNow: null, restOfDay: null, shadow: null, expected: null });
    const { page } = await stage.open(yard(night), { path: '/aim', viewport: PHONE });
    await lead(page).waitFor();
    expect(await seen(lead(page))).toMatch(/^The sun is down\. Next sunrise: .*\d\d:\d\d\.$/);
    expect(await element(page).locator('table, details, .causes').count()).toBe(0);
    const { page: lost } = await stage.open(yard(null), { path: '/aim', viewport: PHONE });
    await element(lost).getByRole('link', { name: 'Tell the place' }).click();
    await expect.poll(() => lost.url()).toMatch(/\/setup#place$/);
  });
});
