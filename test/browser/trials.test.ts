/** Trials in a browser: what to try, a trial begun, watched and told by hand, its result taken away, results side by side. */
import { readFile } from 'node:fs/promises';
import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import type { TrialStart } from '#messages';
import { axeViolations } from '../support/axe.ts';
import type { FakeData } from '../support/fake-agent.ts';
import { shedStation } from '../support/honey-shed.ts';
import { DESK, describePage, type OpenOptions, PHONE, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';
import { comparison, firstWeekOf, liveSets, liveUsable, shedTrials, trialsAnswer, yearsOf } from '../support/trials.ts';

const SETTLE = { timeout: 15_000 };
const USABLE = 'shed-usable-261102-k4m7qa';
const BOTH = `/trials/beside?ids=${USABLE},cellar-usable-261101-z3f6gm`;

const data = (trials = shedTrials(), more: Partial<FakeData> = {}): FakeData => ({
  ...shedData({}, { settings: shedSettings() }),
  stations: [shedStation({ simulated: false }), shedStation({ id: 'cellar', name: 'Cellar', simulated: false })],
  trials: trialsAnswer(trials),
  firstWeek: firstWeekOf(),
  years: yearsOf(),
  compare: ids =>
    comparison(
      ids.map(id => trials.find(trial => trial.id === id)!),
      { shed: 700, cellar: 820 },
    ),
  ...more,
});
const told = (page: Page, text: string | RegExp) => sentence(page).filter({ hasText: text }).waitFor();
const saved = async (page: Page, name: string): Promise<Buffer> => {
  const waiting = page.waitForEvent('download');
  await page.getByRole('button', { name }).click();
  return readFile((await (await waiting).path())!);
};

describePage('Trials', stage => {
  const open = (path: string, of = data(), options: OpenOptions = {}) => stage.open(of, { path, ...options });

  it('answers with the best trial, lists results, kinds with what is missing, and the first week with its dates', async () => {
    const { page } = await open(
      '/trials',
      data(shedTrials(), { trials: trialsAnswer(shedTrials(), { solar: ['solarPowerW'] }) }),
    );
    await told(page, 'It delivers');
    expect(plain(await sentence(page).textContent())).toBe('It delivers 1 310 Wh of its 1 500, give or take 13.');
    expect(plain(await sure(page).textContent())).toContain(
      'Held against Plug meter. By itself it draws 20 W, give or take 2.',
    );
    const rows = await Promise.all((await page.locator('table.rows tr').all()).map(seen));
    expect(rows[0]).toBe('Usable energy 6 November · Honey shed spoiled');
    expect(rows).toContain('Own draw 4 November · Honey shed 20 W give or take 2');
    const kinds = await Promise.all((await page.locator('ul.kinds li').all()).map(seen));
    expect(kinds).toHaveLength(8);
    expect(kinds[4]).toContain('This station does not tell what comes in from the panels.');
    expect(kinds[6]).toMatch(/^Switch-over time cannot be measured here: it is over within 0\.03 s, .* every 1 ms\./);
    const week = await Promise.all((await page.locator('ol.week li').all()).map(seen));
    expect(week).toContain('8 November Charge from the wall late');
    await page.getByText('It can be given back until 14 November.').waitFor();
    expect(await page.locator('#menu a[aria-current]:visible').textContent()).toBe('Trials');

    await page.getByLabel('Usable energy, 2 November: set beside another').check();
    await page.getByLabel('Usable energy, 1 November: set beside another').check();
    await page.getByRole('link', { name: 'Set 2 side by side' }).click();
    await told(page, 'Cellar: 80');
    await page.goBack();
    await told(page, 'It delivers');
  });

  it('says what to do first; on a phone it stands behind More', async () => {
    const { page } = await open('/more', data([], { firstWeek: firstWeekOf({ fullyChargedAt: null }) }), {
      viewport: PHONE,
    });
    await page.getByRole('link', { name: 'Trials Does it deliver what it says?' }).click();
    await told(page, 'First charge it full, once.');
    expect(await page.locator('#menu a[aria-current]:visible').textContent()).toBe('More');
    const [week, kinds] = await Promise.all(
      [page.locator('ol.week'), page.locator('ul.kinds')].map(at => at.boundingBox()),
    );
    expect(week!.y).toBeLessThan(kinds!.y);
  });

  it('begins by keyboard: tells what is wrong where it is, then waits, also after a reload', async () => {
    const { page, agent } = await open('/trials');
    await page.getByRole('link', { name: 'Begin: Usable energy' }).focus();
    await page.keyboard.press('Enter');
    await told(page, 'Begin: usable energy.');
    await page.getByText('Never use a device that somebody’s health depends on').waitFor();
    await page.getByLabel('Meter', { exact: true }).selectOption({ label: 'one I read off and type in' });
    await page.getByLabel('Ends at, %').fill('95');
    await page.keyboard.press('Enter');
    await page.getByText('A number from 0 to 90.').waitFor();
    await expect
      .poll(
        () =>
          page.evaluate(
            () =>
              document.activeElement?.shadowRoot?.activeElement?.shadowRoot?.activeElement?.id ??
              document.activeElement?.shadowRoot?.activeElement?.id,
          ),
        SETTLE,
      )
      .toBe('floorPct');
    await page.getByLabel('Ends at, %').fill('');
    await page.getByLabel('Name of the meter').fill('Plug meter');
    await page.getByLabel('The load').fill('Two lamps');
    await page.keyboard.press('Enter');
    await told(page, 'Waits for a full battery.');
    const asked = agent.asked.find(({ method }) => method === 'POST')!;
    expect(asked).toMatchObject({ path: '/api/trials', header: '1' });
    expect(asked.body as TrialStart).toEqual({
      station: 'shed',
      options: {
        kind: 'usable',
        floorPct: null,
        meter: { source: null, name: 'Plug meter', limitPct: 1, stepW: 0.1, stepWh: 1 },
      },
      conditions: { load: 'Two lamps' },
    });
    await page.reload();
    await told(page, 'Waits for a full battery.');
    expect(plain(await sure(page).textContent())).toContain('take the charger and the panels off');
  });

  it('takes steps with one thumb, tells spoilers as they happen, and is ended at the second tap', async () => {
    const trial = liveSets();
    const { page, agent } = await open(`/trials/${trial.id}`, data([trial]), { viewport: PHONE });
    await told(page, '43');
    await page.getByText('Clouds came over. The range is wider for it.').waitFor();
    const button = page.getByRole('button', { name: 'Folding is plugged in' });
    expect((await button.boundingBox())!.height).toBeGreaterThanOrEqual(88);
    await button.click();
    await expect.poll(() => button.getAttribute('aria-pressed'), SETTLE).toBe('true');
    expect(agent.asked.findLast(({ method }) => method === 'PUT')?.body).toEqual({ do: 'step', step: 'b' });
    Object.assign(trial.judgement, { waitsFor: null, progress: { share: 0.6, leftMs: 600_000, count: 4, wanted: 7 } });
    // Told by the agent: the page asks for it then, and not by the clock.
    const before = agent.asked.length;
    agent.push({ type: 'trials' });
    await told(page, /60\s%/);
    expect(agent.asked.slice(before).map(({ path }) => path)).toEqual([`/api/trials/${trial.id}`]);
    await page.getByRole('button', { name: 'End it now' }).click();
    await page.getByRole('button', { name: 'Yes, end it now' }).click();
    await told(page, 'Interrupted.');
    expect(plain(await sure(page).textContent())).toBe('It was ended by hand. Nothing was measured.');
  });

  it('takes counts read off a meter, never backwards, and says what the agent would not do', async () => {
    const trial = liveUsable();
    const { page, agent } = await open(`/trials/${trial.id}`, data([trial]), { expected: /401/ });
    await page.getByLabel('Count now, Wh').fill('12');
    await page.keyboard.press('Enter');
    await page.getByText('A number of watt-hours, not less than the last one.').waitFor();
    await page.getByLabel('Count now, Wh').fill('512,5');
    await page.keyboard.press('Enter');
    await expect.poll(() => page.locator('table.counts tr').count(), SETTLE).toBe(2);
    expect(agent.asked.findLast(({ method }) => method === 'PUT')?.body).toEqual({ do: 'meter', energyWh: 512.5 });
    // It ended meanwhile: the count after the end is asked for once.
    const [now] = agent.data.trials.trials;
    const endedAt = new Date(Date.parse(now!.typed.at(-1)!.at) + 60_000).toISOString();
    Object.assign(now!.judgement, { phase: 'done', waitsFor: null, endsBecause: 'cutOff', endedAt });
    agent.push({ type: 'trials' });
    await page.getByRole('heading', { name: 'The last count' }).waitFor();
    agent.data.turnAway = {
      status: 401,
      code: 'SESSION_NEEDED',
      message: 'Nothing was changed.',
      fix: 'Open the link.',
    };
    await page.getByLabel('Count now, Wh').fill('600');
    await page.keyboard.press('Enter');
    await page.getByText('This was not done:').first().waitFor();
  });

  it('shows figures with ranges and why, and gives the drawing away as SVG and PNG, marked where simulated', async () => {
    const trials = shedTrials().map(trial => ({ ...trial, simulated: true }));
    const { page } = await open('/trials/shed-converter-261104-w8d3tr', data(trials));
    await told(page, 'At 600');
    expect(plain(await sure(page).textContent())).toContain('Of a simulated station: it says nothing of a real one.');
    const rows = await Promise.all((await page.locator('table[aria-labelledby="figures"] tr').all()).map(seen));
    expect(rows[0]).toBe('Fixed loss 13 W give or take 1');
    await page.getByText('Why?').click();
    await page.getByText('Where the range of “Fixed loss” comes from').waitFor();
    expect(await seen(page.locator('table.budget').first())).toContain('the fit of the curve');
    expect(await page.getByRole('link', { name: 'Report, to print' }).getAttribute('href')).toBe(
      '/api/trials/shed-converter-261104-w8d3tr/report',
    );
    expect(await page.getByRole('link', { name: 'Its samples as CSV' }).getAttribute('href')).toMatch(/samples\.csv$/);
    const picture = String(await saved(page, 'This drawing as SVG'));
    expect(picture).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg"/);
    expect(picture).toContain('shed-converter-261104-w8d3tr · wattkeep 0.1.0 · simulated');
    expect(picture).not.toContain('class=');
    const png = await saved(page, 'This drawing as PNG');
    expect(png.subarray(1, 4).toString('latin1')).toBe('PNG');
    expect(png.readUInt32BE(16)).toBeGreaterThan(2000);
  });

  it('never shows a spoiled trial as good, and removes it at the second tap', async () => {
    const { page, agent } = await open('/trials/shed-usable-261106-b5j8sd');
    await told(page, 'Spoiled. The load was unplugged.');
    expect(await page.locator('table.rows').count()).toBe(0);
    await page.getByText('The load was unplugged (300').waitFor();
    await page.getByRole('button', { name: 'Remove this trial' }).click();
    await page.getByRole('button', { name: 'Yes, remove it for good' }).click();
    await told(page, 'It delivers');
    expect(agent.data.trials.trials.some(({ id }) => id.includes('261106'))).toBe(false);
  });

  it('sets results side by side, with what the money buys, and tells the years', async () => {
    const { page } = await open(BOTH);
    await told(page, /^Cellar: 80\sWh more than Honey shed, give or take\s20\.$/);
    expect(await page.locator('figure path.line').count()).toBe(2);
    expect(await seen(page.locator('table[aria-labelledby="differ"]'))).toContain(
      'differ by more than their uncertainty',
    );
    expect(await seen(page.locator('table[aria-labelledby="worth"]'))).toContain('0.534 EUR');
    await page.getByRole('link', { name: 'All trials' }).click();
    await page.getByRole('link', { name: 'Over the years: does it hold?' }).click();
    await told(page, 'It delivers 93.4');
    expect(plain(await sure(page).textContent())).toContain(
      'It holds more than the 70 % of its label that was promised.',
    );
    expect(await page.locator('circle').count()).toBe(4);
  });

  const PAGES = {
    list: '/trials',
    result: `/trials/${USABLE}`,
    live: '/trials/shed-twosets-261108-q7r4ub',
    begin: '/trials/begin?kind=twoSets',
    beside: BOTH,
    years: '/trials/years',
  } as const;
  const ALL = Object.keys(PAGES) as (keyof typeof PAGES)[];
  // Each page is held against axe in one light at least; its width at the narrowest phone.
  for (const [light, viewport, pages, checked] of [
    ['day', DESK, ['list', 'result', 'begin'], true],
    ['glare', PHONE, ['live', 'beside'], true],
    ['night', PHONE, ['result', 'years'], true],
    ['day', { width: 360, height: 640 }, ALL, false],
  ] as const)
    it(`reads well in ${light} at ${viewport.width} px: nothing runs over${checked ? ', axe finds nothing' : ''}`, async () => {
      const { page, agent } = await open('/trials', data([liveSets(), ...shedTrials()]), { viewport, light });
      for (const name of pages) {
        await page.goto(agent.address + PAGES[name]);
        await page.locator('main a[href="/trials"], ul.kinds').first().waitFor();
        for (const details of await page.locator('main details summary').all()) await details.click();
        expect([name, await page.evaluate(() => document.documentElement.scrollWidth)]).toEqual([name, viewport.width]);
        if (checked) expect([name, await axeViolations(page)]).toEqual([name, []]);
      }
    });
});
