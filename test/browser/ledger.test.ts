import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { axeViolations } from '../support/axe.ts';
import type { FakeData } from '../support/fake-agent.ts';
import { shedDay, shedTally } from '../support/honey-shed.ts';
import { autumn, SUMMER_AT, summer, years } from '../support/ledger-season.ts';
import { DESK, describePage, PHONE, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData } from '../support/shed-agent.ts';

/** The shed at noon of the summer's last day. */
function summerData(change: Partial<FakeData> = {}): FakeData {
  const data = shedData({}, { nowAt: SUMMER_AT, ledger: summer, ...change });
  data.messages = data.messages.filter(message => message.type !== 'day');
  return data;
}

const bars = (page: Page) => page.getByRole('slider', { name: 'From the sun, day by day' });
const drawn = (page: Page) => page.locator('ledger-chart canvas').waitFor();
const asked = (agent: { asked: readonly { path: string }[] }) =>
  agent.asked.filter(({ path }) => path.endsWith('/ledger')).length;
const reading = async (page: Page) => plain(await bars(page).getAttribute('aria-valuetext'));

/** Red, green, blue, alpha of a cell of the carpet, and its size; read from a copy that is made for reading. */
const cellOf = (page: Page, day: number, row: number) =>
  page.locator('ledger-chart canvas').evaluate(
    (canvas: HTMLCanvasElement, [x, y]) => {
      const copy = new OffscreenCanvas(canvas.width, canvas.height).getContext('2d', { willReadFrequently: true })!;
      copy.drawImage(canvas, 0, 0);
      return { rgba: [...copy.getImageData(x!, y!, 1, 1).data], days: canvas.width, rows: canvas.height };
    },
    [day, row],
  );

describePage('the Ledger', stage => {
  it('tells what came from the sun, by sentence, bar, month, day and file', async () => {
    const { page } = await stage.open(summerData(), { path: '/ledger' });
    await sentence(page)
      .filter({ hasText: /kWh from the sun since 1 June\./ })
      .waitFor();
    expect(plain(await sure(page).textContent())).toMatch(
      /^The 96 whole days averaged [\d ]+ Wh; a clear day could give [\d ]+ Wh\. 3 days are only partly recorded\. 4 days are not recorded at all\.$/,
    );
    await drawn(page);
    expect(plain(await page.locator('.counted p').textContent())).toMatch(
      /^The station itself counted [\d.]+ kWh from the sun\. It counts 1\.2 % more than its own watts .* part of no bar and no sum here\.$/,
    );
    expect(await page.locator('table.sums tbody tr').count()).toBe(4);
    expect(plain(await page.locator('table.sums tfoot').textContent())).toMatch(/^together[\d.]+ kWh94 %96 of 104/);
    expect(await page.locator('table.rest tbody th').allTextContents()).toEqual([
      'came in',
      'cloud',
      'shade',
      'battery full',
      'panels not set out',
      'not recorded',
      'other',
    ]);
    await page.getByText('What changed, and what explains gaps').click();
    expect((await page.locator('details[open] li').allTextContents()).map(plain)).toEqual([
      '4 July: panels changed: 400 W',
      '4 August to 8 August: lent: to the neighbour (lent at 92 %, back at 31 %)',
      '20 August: tariff changed: 0.34 EUR a kWh',
    ]);
    expect(await page.locator('.every tbody tr').count()).toBe(0);
    await page.getByText('Every day in numbers').first().click();
    await expect.poll(() => page.locator('.every tbody tr').count()).toBe(104);
    expect(await page.getByRole('link', { name: '26 July', exact: true }).getAttribute('href')).toBe(
      '/ledger/2026-07-26',
    );
    const beside = page.getByRole('link', { name: 'Beside another stretch or station' });
    expect(await beside.getAttribute('href')).toBe('/ledger/beside?one=shed&oneFrom=2026-06-01&oneTo=2026-09-11');
    const download = page.waitForEvent('download');
    await page.getByRole('link', { name: 'Save the days as CSV' }).click();
    expect((await download).url()).toMatch(/\/api\/stations\/shed\/days\.csv\?from=2026-06-01&to=2026-09-12$/);
    await page.getByText('Save the readings of these days').click();
    await page.getByText('86 312 readings').waitFor();
    expect(await page.getByRole('link', { name: 'Readings as Parquet' }).getAttribute('href')).toMatch(
      /recording\.parquet\?from=2026-05-31T2\d%3A00%3A00\.000Z&to=2026-09-12T2\d%3A00%3A00\.000Z$/,
    );
    expect(await axeViolations(page)).toEqual([]);
  });

  it('shows day by hour as ink: bare where nothing was recorded, in each light and on paper by its own', async () => {
    const { page } = await stage.open(summerData(), { path: '/ledger', light: 'night' });
    await drawn(page);
    const noon = await cellOf(page, 5, 14);
    expect([noon.days, noon.rows]).toEqual([104, 32]);
    expect(noon.rgba[0]).toBeGreaterThan(noon.rgba[2]!);
    expect((await cellOf(page, 66, 14)).rgba[3]).toBe(0);
    await page.locator('#light').click();
    await expect.poll(async () => (await cellOf(page, 5, 14)).rgba[0]).toBeLessThan(60);
    await page.locator('#light').click();
    await page.locator('#light').click();
    await page.emulateMedia({ media: 'print' });
    await expect.poll(async () => (await cellOf(page, 5, 14)).rgba.slice(0, 3)).toEqual([0, 0, 0]);
    expect(await page.locator('ledger-chart svg').getAttribute('width')).toBe('720');
    expect(await page.getByRole('button', { name: 'A year earlier' }).isVisible()).toBe(false);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(DESK.width);
  });

  it('is read by arrow keys, and Enter opens the day that was read', async () => {
    const { page } = await stage.open(summerData(), { path: '/ledger' });
    await drawn(page);
    await bars(page).focus();
    await page.keyboard.press('Home');
    await expect.poll(() => reading(page)).toMatch(/^1 June: [\d ]+ Wh; a clear sky gives [\d ]+ Wh$/);
    await page.keyboard.press('ArrowRight');
    await page.keyboard.press('PageUp');
    await expect.poll(() => reading(page)).toMatch(/^12 June: /);
    expect(await seen(page.locator('ledger-chart .reading span'))).toBe(await reading(page));
    // The page of a day is a view of its own: here only where one is led to.
    await page.evaluate(() => {
      const noted = (event: MouseEvent) => {
        const link = event.composedPath().find(node => node instanceof HTMLAnchorElement);
        if (link === undefined) return;
        event.preventDefault();
        event.stopImmediatePropagation();
        document.body.dataset.followed = link.pathname;
      };
      addEventListener('click', noted, { capture: true });
    });
    await page.keyboard.press('Enter');
    await expect.poll(() => page.evaluate(() => document.body.dataset.followed)).toBe('/ledger/2026-06-12');
    // Nothing is to be opened where nothing was recorded.
    await page.keyboard.press('End');
    for (let i = 0; i < 36; i++) await page.keyboard.press('ArrowLeft');
    await expect.poll(() => reading(page)).toBe('7 August: not recorded');
    expect(await page.locator('ledger-chart .open').count()).toBe(0);
    // The pointer reads and opens too.
    const box = (await bars(page).boundingBox())!;
    await page.mouse.click(box.x + 66, box.y + 120);
    await expect.poll(() => page.evaluate(() => document.body.dataset.followed)).toBe('/ledger/2026-06-01');
  });

  it('shows a month, a season, a year or all, steps back, and opens with what was chosen last', async () => {
    const { page, agent } = await stage.open(summerData({ ledger: years }), { path: '/ledger' });
    const title = page.locator('.periods .title');
    await drawn(page);
    expect(await title.textContent()).toBe('April to September 2026');
    await page.getByRole('button', { name: 'A year earlier' }).click();
    await sentence(page).filter({ hasText: 'from 1 April to 30 September 2025.' }).waitFor();
    await page.getByRole('button', { name: 'Month' }).click();
    await sentence(page).filter({ hasText: 'since 1 September.' }).waitFor();
    expect(await page.getByRole('button', { name: 'Later' }).isDisabled()).toBe(true);
    await page.getByRole('button', { name: 'Earlier', exact: true }).click();
    await sentence(page).filter({ hasText: 'in August 2026.' }).waitFor();
    await page.getByRole('button', { name: 'All' }).click();
    await sentence(page).filter({ hasText: 'since 20 May 2024.' }).waitFor();
    expect(plain(await page.locator('ledger-view').locator('.sides').textContent())).toMatch(
      /Since 20 May 2024 that is \d+ EUR of the 350 EUR the set cost\. The set had come back on \d+ \w+/,
    );
    await page.reload();
    await sentence(page).filter({ hasText: 'since 20 May 2024.' }).waitFor();
    await page.getByRole('button', { name: 'Year', exact: true }).click();
    for (let i = 0; i < 3; i++) await page.getByRole('button', { name: 'Earlier', exact: true }).click();
    await sentence(page).filter({ hasText: 'Nothing is recorded from 1 January to 31 December 2023.' }).waitFor();
    expect(asked(agent)).toBeGreaterThanOrEqual(8);
  });

  it('draws weeks on a phone where days would be too thin, says so, and leads to their month', async () => {
    const { page } = await stage.open(summerData({ ledger: years }), { path: '/ledger', viewport: PHONE });
    await drawn(page);
    await page.getByRole('button', { name: 'Year', exact: true }).click();
    await page.getByText('A column is a week:').waitFor();
    for (const details of await page.locator('details:not(.every) > summary').all()) await details.click();
    expect(await axeViolations(page)).toEqual([]);
    await bars(page).focus();
    await page.keyboard.press('Home');
    await expect.poll(() => reading(page)).toMatch(/^Week of 1 January: [\d ]+ Wh a day; a clear sky gives/);
    await page.getByRole('button', { name: 'Look at January 2026' }).click();
    await sentence(page).filter({ hasText: 'in January 2026.' }).waitFor();
    for (const width of [360, 320]) {
      await page.setViewportSize({ width, height: 640 });
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(width);
    }
  });

  it('follows today as it goes on without asking the record again', async () => {
    const { page, agent } = await stage.open(summerData(), { path: '/ledger' });
    await drawn(page);
    await bars(page).focus();
    const before = asked(agent);
    for (const solarWh of [700, 845]) {
      const tally = shedTally({ today: shedDay('2026-09-12', { solarWh, inputWh: solarWh }) });
      agent.push({ type: 'day', tally });
      await expect.poll(() => reading(page)).toMatch(new RegExp(`^today so far: ${solarWh} Wh`));
    }
    expect(asked(agent)).toBe(before);
  });

  it('explains what it says, and says what it does not know', async () => {
    const bare = (station: string, from: string, to: string) => {
      const answer = summer(station, from, to);
      const days = answer.days.map(day => ({
        ...day,
        clearSkyWh: null,
        whereItWent: null,
        worth: null,
        counted: null,
      }));
      return { ...answer, days, missing: [], money: null, bridges: [], counters: [] };
    };
    const { page } = await stage.open(summerData({ ledger: bare }), { path: '/ledger' });
    await drawn(page);
    await page.getByText('What a cloudless sky would have given is not known').waitFor();
    await page.getByText('no tariff is set').waitFor();
    expect(await page.getByText('own counter').count()).toBe(0);
    await page.locator('details.why summary').last().click();
    await page.getByText('(IEC 61724-1)').waitFor();
  });

  it('tells an empty record, and a record that could not be read', async () => {
    const data = shedData({}, { ledger: (...of) => ({ ...autumn(...of), days: [], missing: [] }) });
    data.messages = data.messages.filter(message => message.type !== 'day');
    const empty = await stage.open(data, { path: '/ledger' });
    await sentence(empty.page).filter({ hasText: 'Nothing gathered yet.' }).waitFor();
    await empty.page.getByRole('button', { name: 'Earlier', exact: true }).click();
    await sentence(empty.page).filter({ hasText: 'Nothing is recorded from 1 April to 30 September' }).waitFor();
    await empty.page.getByRole('button', { name: 'All' }).click();
    await sentence(empty.page).filter({ hasText: 'Nothing gathered yet.' }).waitFor();
    const odd = summerData({ ledger: (...of) => ({ ...summer(...of), carpet: { stepMin: 30, rows: 7 as never } }) });
    const { page } = await stage.open(odd, { path: '/ledger' });
    await sentence(page).filter({ hasText: 'The record could not be read.' }).waitFor();
    expect(await sure(page).textContent()).toContain('Reload the page');
  });
});
