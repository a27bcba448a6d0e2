import { expect, it } from 'vitest';
import type { JudgingAnswer } from '#messages';
import { nothingYet } from '../support/fake-agent.ts';
import { EVENING_AT, shedStation } from '../support/honey-shed.ts';
import { toldOutage } from '../support/outages.ts';
import { eveningOutlast, monthJudged, nothingToSay } from '../support/outlasts.ts';
import { DESK, describePage, PHONE, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const SETTLE = { timeout: 15_000 };

describePage('Outlast', stage => {
  const open = (over: Partial<ReturnType<typeof eveningOutlast>> = {}, data = {}) =>
    stage.open(
      shedData({}, { settings: shedSettings(), outlast: station => eveningOutlast({ station, ...over }), ...data }),
      { path: '/outlast' },
    );

  it('opens with its sentence, twenty dots and what is plugged in', async () => {
    const { page } = await open();
    await sentence(page).filter({ hasText: 'It reaches 06:00 in 1 of 20.' }).waitFor();
    expect(plain(await sure(page).textContent())).toBe('With the honey warmer off, 7 in 20.');
    expect(await page.locator('circle.dot').count()).toBe(20);
    expect(await page.locator('circle.makes').count()).toBe(1);
    const rows = (await page.locator('table.loads tbody tr').allTextContents()).map(text =>
      plain(text).replace(/\s+/g, ' '),
    );
    expect(rows[0]).toContain('Chest freezer cycles, on 34 % of the time · must stay on');
    expect(rows[0]).toMatch(/33 W ?–/);
    expect(rows[1]).toContain('+2 h 50 min');
    expect(rows.at(-1)).toContain('The station itself');
  });

  it('asks for the hour, the floor, the sky and the watts that are set', async () => {
    const queries: URLSearchParams[] = [];
    const { page } = await open(
      {},
      {
        outlast: (station: string, asked: URLSearchParams) => {
          queries.push(asked);
          return eveningOutlast({ station });
        },
      },
    );
    await sentence(page).filter({ hasText: 'It reaches' }).waitFor();
    await page.getByLabel('Time').fill('09:30');
    await expect.poll(() => queries.at(-1)?.get('until'), SETTLE).toMatch(/T08:30:00/);
    await page.getByLabel('Floor, %').fill('25');
    await page.keyboard.press('Tab');
    await expect.poll(() => queries.at(-1)?.get('floor'), SETTLE).toBe('25');
    await page.getByLabel('Sky, Monday').selectOption('poor');
    await expect.poll(() => queries.at(-1)?.get('skies'), SETTLE).toContain('poor');
    await page.getByText('With which watts').click();
    await page.getByLabel('Generator, W').fill('720');
    await page.keyboard.press('Tab');
    await expect.poll(() => queries.at(-1)?.get('generatorW'), SETTLE).toBe('720');
    await page.getByLabel('Vehicle, W').fill('many');
    await page.keyboard.press('Tab');
    await page.getByText('A number from 1 to 20 000.').waitFor();
    await page.getByLabel('Floor, %').fill('99');
    await page.keyboard.press('Tab');
    await page.getByText('A whole number from 0 to 90.').waitFor();
  });

  it('names a load with one tap, and keeps the other names', async () => {
    const settings = shedSettings();
    settings.station[0]!.load = [{ name: 'Chest freezer', powerW: 97, mustStayOn: true }];
    const { page, agent } = await open({}, { settings });
    await page.getByRole('button', { name: 'Name it: All the rest' }).click();
    await page.getByRole('button', { name: 'Router', exact: true }).click();
    await expect
      .poll(() => agent.asked.find(a => a.method === 'POST')?.body, SETTLE)
      .toEqual({
        load: [
          { name: 'Chest freezer', powerW: 97, mustStayOn: true },
          { name: 'Router', powerW: 19, mustStayOn: false },
        ],
      });
    expect(agent.asked.find(a => a.method === 'POST')).toMatchObject({ path: '/api/stations/shed/loads', header: '1' });
    await page.locator('load-name').waitFor({ state: 'detached' });
  });

  it('names by keyboard, marks what must stay on, and takes no empty name', async () => {
    const { page, agent } = await open();
    await page.getByRole('button', { name: 'Change: Honey warmer' }).click();
    await page.getByLabel('Name of what draws 22 W').fill(' ');
    await page.keyboard.press('Enter');
    await page.getByText('Give it a name of 60 letters at most.').waitFor();
    await page.getByLabel('Name of what draws 22 W').fill('Brooder');
    await page.getByLabel('must stay on').check();
    await page.getByRole('button', { name: 'Keep' }).click();
    await expect
      .poll(() => agent.asked.find(a => a.method === 'POST')?.body, SETTLE)
      .toEqual({ load: [{ name: 'Brooder', powerW: 22, mustStayOn: true }] });
  });

  it('says what is missing where nothing can be said, and draws nothing', async () => {
    const { page } = await open({}, { outlast: (station: string) => ({ ...nothingToSay(), station }) });
    await sentence(page).filter({ hasText: 'Too early to say.' }).waitFor();
    expect(await sure(page).textContent()).toContain('20 minutes of readings');
    expect(await page.locator('circle.dot').count()).toBe(0);
  });

  it('promises nothing over an old reading', async () => {
    const data = shedData({ ageMs: 3_600_000, status: { phase: 'stale' } });
    const { page } = await stage.open(data, { path: '/outlast' });
    await sentence(page)
      .filter({ hasText: /^The last reading is 60.min old, so nothing is promised\.$/ })
      .waitFor();
    expect(await page.locator('circle.dot').count()).toBe(0);
    expect(await page.getByText('To get there').count()).toBe(0);
  });

  it('judges itself on the owner’s record when it is asked to, shows how far it is and then what it found', async () => {
    let share = -1;
    const judging = (begin: boolean): JudgingAnswer => {
      if (begin) share = 0;
      else if (share >= 0) share += 0.4;
      if (share < 0) return { state: 'never', share: 0, judged: null };
      return share < 1 ? { state: 'running', share, judged: null } : { state: 'done', share: 1, judged: monthJudged() };
    };
    const { page, agent } = await open({}, { judging });
    await page.getByRole('button', { name: 'Judge me on my last 30 days' }).click();
    await page.getByText('Living through the record: 0 % done.').waitFor();
    await page.getByText('Of 188 ranges on your record 153 came true; 150 were promised.').waitFor(SETTLE);
    expect(agent.asked.find(a => a.method === 'POST')).toMatchObject({
      path: '/api/stations/shed/judging',
      header: '1',
    });
    const rows = await page.locator('judge-me tbody tr').allTextContents();
    expect(rows.map(row => plain(row).replace(/\s+/g, ' '))).toEqual([
      'up to 3 h50 of 6319 %189 %',
      'beyond 8 h36 of 4336 %171 %',
    ]);
    await page.getByRole('button', { name: 'Judge me again' }).waitFor();
  });

  it('lists the outages that are over, with what was promised and what came', async () => {
    const began = EVENING_AT - 30 * 3_600_000;
    const outages = [
      toldOutage(began, {
        endedAt: new Date(began + 9_000_000).toISOString(),
        startPct: 98,
        endPct: 80,
        lowestPct: 80,
        outputWh: 190,
      }),
      toldOutage(EVENING_AT - 60_000),
    ];
    const { page } = await open({}, { outages });
    const told = page.locator('outage-list li');
    await told.waitFor();
    expect(plain(await told.textContent())).toContain('7 November: The mains were away for 2 h 30 min.');
    expect(await told.count()).toBe(1);
  });

  it('says on mains what would be, and tells of a load gone quiet', async () => {
    const loads = eveningOutlast().loads.map((load, i) => (i === 0 ? { ...load, quietMin: 190 } : load));
    const { page } = await open({ onMains: true, chances: 17, loads });
    await sentence(page).filter({ hasText: 'If the power failed now, it would reach 06:00 in 17 of 20.' }).waitFor();
    expect(await seen(page.locator('p.quiet'))).toContain('Chest freezer has not drawn for 3 h 10 min');
  });

  it('has no station yet where there is none', async () => {
    const none = await stage.open(nothingYet(), { path: '/outlast' });
    await sentence(none.page).filter({ hasText: 'No station yet.' }).waitFor();
  });

  it('takes another station into one reserve', async () => {
    const together = {
      station: 'attic',
      name: 'Attic',
      here: 12,
      there: 20,
      both: 12,
      move: { name: 'Router', powerW: 8, both: 17 },
    };
    const stations = [shedStation(), { ...shedStation(), id: 'attic', name: 'Attic' }];
    const { page } = await open(
      {},
      {
        stations,
        outlast: (station: string, asked: URLSearchParams) =>
          eveningOutlast({ station, together: asked.get('with') === 'attic' ? together : null }),
      },
    );
    await page.getByLabel('Together with').selectOption('attic');
    await page.getByText('Move the router to Attic, and both get there in 17 of 20.').waitFor();
  });

  for (const [name, viewport] of [
    ['phone', PHONE],
    ['desk', DESK],
  ] as const)
    it(`fits a ${name}: nothing runs over, the question and the dots are in the first screen`, async () => {
      const { page } = await stage.open(shedData({}, { settings: shedSettings() }), { path: '/outlast', viewport });
      await sentence(page).filter({ hasText: 'It reaches' }).waitFor();
      await page.locator('circle.dot').first().waitFor();
      expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(viewport.width);
      for (const what of ['circle.makes', 'input[type="time"]']) {
        const box = (await page.locator(what).first().boundingBox())!;
        expect(box.y + box.height).toBeLessThan(viewport.height);
      }
    });
});
