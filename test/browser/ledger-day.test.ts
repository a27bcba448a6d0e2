import type { Page } from 'playwright-core';
import { expect, it } from 'vitest';
import { axeViolations } from '../support/axe.ts';
import type { FakeData } from '../support/fake-agent.ts';
import { EVENING_AT, shedStation } from '../support/honey-shed.ts';
import { bareDay, daySeries, GAP_DATE, lentDay } from '../support/ledger-days.ts';
import { ledgerSeason } from '../support/ledger-season.ts';
import { describePage, PHONE, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const PATH = `/ledger/${GAP_DATE}`;
const data = (more: Partial<FakeData> = {}): FakeData =>
  shedData(
    {},
    {
      day: (_station, date) => (date === GAP_DATE ? lentDay() : bareDay({ date })),
      series: (_station, fromMs, toMs) => daySeries(fromMs, toMs),
      ledger: (station, from, to) => ledgerSeason(from, to, { station }),
      ...more,
    },
  );
const headline = (page: Page, text: string | RegExp) => sentence(page).filter({ hasText: text }).waitFor();
const posted = (asked: readonly { method: string; path: string; body: unknown }[], what: string) =>
  asked.filter(one => one.method === 'POST' && one.path.endsWith(`/${what}`)).map(one => one.body);
const inUtc = (hour: number) => new Date(Date.UTC(2026, 10, 6, hour - 1)).toISOString();

describePage('a day of the Ledger', stage => {
  it('stands at its address: read, reloaded, left for the day before and come back to', async () => {
    const { page } = await stage.open(data(), { path: PATH });
    await headline(page, /from the sun on Friday 6 November\./);
    expect(plain(await sure(page).textContent())).toMatch(
      /^89 % of it is recorded; 2 h 30 min is not: lent \(to Ida\)\./,
    );
    expect(await page.locator('#menu a[aria-current]').getAttribute('href')).toBe('/ledger');
    const drawing = page.getByRole('slider', { name: 'The day: state of charge' });
    await drawing.focus();
    for (let i = 0; i < 12; i++) await page.keyboard.press('PageUp');
    await expect
      .poll(async () => plain(await drawing.getAttribute('aria-valuetext')))
      .toBe('14:00: not recorded, lent (to Ida)');
    await page.getByText('Save the readings of this day').focus();
    await page.keyboard.press('Enter');
    const told = page.locator('save-readings').getByRole('status');
    await expect.poll(async () => plain(await told.textContent())).toBe('86 312 readings, some 6.9 MB as CSV.');
    for (const [name, ending] of [
      ['Readings as CSV', 'csv'],
      ['Readings as Parquet', 'parquet'],
    ] as const)
      expect(await page.getByRole('link', { name }).getAttribute('href')).toBe(
        `/api/stations/shed/recording.${ending}?from=2026-11-05T23%3A00%3A00.000Z&to=2026-11-06T23%3A00%3A00.000Z`,
      );
    expect(await axeViolations(page)).toEqual([]);
    await page.getByRole('link', { name: /5 November/ }).click();
    await headline(page, 'Nothing is recorded of Thursday 5 November.');
    expect(new URL(page.url()).pathname).toBe('/ledger/2026-11-05');
    await page.goBack();
    await headline(page, /6 November/);
    await page.reload();
    await headline(page, /6 November/);
  });

  it('of no date, and of one ahead, is told to be none', async () => {
    const { page } = await stage.open(data(), { path: '/ledger/2026-02-30' });
    await headline(page, 'There is no date 2026-02-30.');
    await page.getByRole('link', { name: 'All days' }).click();
    await headline(page, /from the sun since/);
    await page.goto(page.url().replace(/ledger$/, 'ledger/2026-11-09'));
    await headline(page, 'Monday 9 November has not come yet.');
    expect(await page.locator('ledger-day-view day-notes').count()).toBe(0);
  });

  it('takes notes, changes them and removes them at the second tap', async () => {
    const { page, agent } = await stage.open(data(), { path: PATH, viewport: PHONE, light: 'night' });
    await page.getByRole('button', { name: 'Note something' }).click();
    await page.getByRole('button', { name: 'Save the note' }).click();
    await page.getByText('A note needs a few words.').waitFor();
    await page.getByLabel('Note', { exact: true }).first().fill('=1+1');
    await page.getByLabel('Time, if it is about a moment').fill('09:15');
    expect(await axeViolations(page)).toEqual([]);
    await page.getByRole('button', { name: 'Save the note' }).click();
    await page.getByRole('button', { name: 'Note something' }).waitFor();
    await page.getByRole('button', { name: 'Change the note “The first frost.”' }).click();
    await page.getByRole('button', { name: 'Remove', exact: true }).click();
    await page.getByRole('button', { name: 'Remove it with its words' }).click();
    await expect
      .poll(() => posted(agent.asked, 'notes'))
      .toEqual([
        { do: 'write', date: GAP_DATE, text: '=1+1', at: '2026-11-06T08:15:00.000Z' },
        { do: 'remove', note: 1 },
      ]);
  });

  it('takes spans: one tap now, a stretch afterwards, and tells at the field what is wrong', async () => {
    const refusal = {
      code: 'REQUEST_INVALID',
      message: 'It would end before it begins.',
      fix: 'Choose a later end.',
      path: 'toAt',
    };
    let refuses = true;
    const { page, agent } = await stage.open(
      data({ refuseTold: (_what, change) => (refuses && (change as { do: string }).do === 'add' ? refusal : null) }),
      { path: PATH, expected: /400/ },
    );
    await page.getByRole('button', { name: 'Lent', exact: true }).click();
    await expect.poll(() => posted(agent.asked, 'spans')).toEqual([{ do: 'begin', reason: 'lent', note: '' }]);
    await page.getByRole('button', { name: 'Stored', exact: true }).click();
    await expect.poll(() => posted(agent.asked, 'put-away')).toHaveLength(1);
    await page.getByRole('button', { name: 'Tell of a stretch' }).click();
    await page.getByLabel('What it was').selectOption('travelling');
    const [from, to] = [page.getByLabel('From', { exact: true }), page.getByLabel('To', { exact: true })];
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await page.getByText('This needs a day and a time.').waitFor();
    await from.fill('2026-11-06T10:00');
    await to.fill('2026-11-06T09:00');
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await page.getByText('It would end before it begins. Choose a later end.').waitFor();
    expect(await to.getAttribute('aria-invalid')).toBe('true');
    refuses = false;
    await to.fill('2026-11-06T11:00');
    await page.getByRole('button', { name: 'Save', exact: true }).click();
    await page.getByRole('button', { name: 'Tell of a stretch' }).waitFor();
    expect(posted(agent.asked, 'spans').at(-1)).toEqual({
      do: 'add',
      reason: 'travelling',
      fromAt: inUtc(10),
      toAt: inUtc(11),
      note: '',
    });
    await page.getByRole('button', { name: 'Change “lent: to Ida”' }).click();
    await page.getByRole('button', { name: 'Remove', exact: true }).click();
    await expect
      .poll(() => posted(agent.asked, 'spans').at(-1))
      .toEqual({
        do: 'remove',
        of: { reason: 'lent', fromAt: inUtc(13) },
      });
  });

  it('keeps the form of a span as it is being written, whatever the day is told anew for', async () => {
    const { page, agent } = await stage.open(data(), { path: PATH });
    await page.getByRole('button', { name: 'Change “lent: to Ida”' }).click();
    const note = page.locator('told-spans').getByLabel('Note', { exact: true });
    await note.fill('to Ida and Jan');
    const dayAsked = () => agent.asked.filter(({ method, path }) => method === 'GET' && path.includes('/day')).length;
    const before = dayAsked();
    await page.getByRole('button', { name: 'Note something' }).click();
    await page.locator('day-notes').getByLabel('Note', { exact: true }).fill('Fog.');
    await page.getByRole('button', { name: 'Save the note' }).click();
    await expect.poll(dayAsked).toBeGreaterThan(before);
    await page.getByRole('button', { name: 'Note something' }).waitFor();
    expect(await note.inputValue()).toBe('to Ida and Jan');
    await page.locator('told-spans').getByRole('button', { name: 'Remove', exact: true }).click();
    await expect.poll(() => posted(agent.asked, 'spans').at(-1)).toMatchObject({ do: 'remove' });
  });

  it('puts right from when a fact was true, once it has told what that changes', async () => {
    const fact = (valueJson: string, validFromAt: string) => ({
      key: 'ratedWh',
      valueJson,
      validFromAt,
      movable: true,
    });
    const { page, agent } = await stage.open(
      data({
        facts: [
          fact('1000', '2026-06-01T00:00:00.000Z'),
          fact('1500', '2026-10-01T10:00:00.000Z'),
          { ...fact('100', '2026-06-01T00:00:00.000Z'), key: 'chargeCeilingPct' },
        ],
        moved: {
          done: false,
          fromDate: '2026-09-20',
          toDate: '2026-09-30',
          days: 11,
          wasJson: '1000',
          becomesJson: '1500',
        },
      }),
      { path: PATH },
    );
    await page.getByText('What was true from when').click();
    // The newer one, and the first of its key to make room for it; of a key with one value there is nothing to move.
    const moves = page.getByRole('button', { name: 'Put its day right' });
    await expect.poll(() => moves.count()).toBe(2);
    await moves.first().click();
    await page.getByLabel('True from this day on').fill('2026-09-20');
    await page.getByRole('button', { name: 'What would that change?' }).click();
    const told = page.getByText('On 11 recorded days, 20 September to 30 September');
    expect(await seen(told)).toMatch(/“1 500 Wh” is taken in place of “1 000 Wh”\. Nothing that was measured changes/);
    expect(await axeViolations(page)).toEqual([]);
    await page.getByRole('button', { name: 'Change the day' }).click();
    await page.getByText('Its day is changed.').waitFor();
    expect(posted(agent.asked, 'facts').map(body => (body as { dryRun: boolean }).dryRun)).toEqual([true, false]);
  });

  it('offers nothing to change to a browser that may only look', async () => {
    const { page } = await stage.open(data({ scope: 'view' }), { path: PATH });
    await headline(page, /6 November/);
    await page.locator('told-spans li').first().waitFor();
    expect(await page.locator('day-notes button, told-spans button').count()).toBe(0);
  });
});

describePage('two beside each other', stage => {
  it('stand at an address that follows what is chosen', async () => {
    const both = data();
    both.stations.push(shedStation({ id: 'barn', name: 'Barn' }));
    const { page } = await stage.open(both, { path: '/ledger/beside', viewport: PHONE });
    await headline(page, 'Honey shed and Barn gathered alike, by a kW of panels.');
    await page.locator('time-chart canvas').waitFor();
    expect(await axeViolations(page)).toEqual([]);
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(PHONE.width);
    const from = page.getByLabel('From', { exact: true }).first();
    await from.fill('2026-11-09');
    await page.getByRole('button', { name: 'Show them beside each other' }).click();
    await page.getByText('It would end before it begins.').waitFor();
    await from.fill('2026-10-20');
    await page.getByRole('button', { name: 'Show them beside each other' }).click();
    await page.getByText('days in common, a day').waitFor();
    await expect.poll(() => new URL(page.url()).search).toContain('oneFrom=2026-10-20');
    await page.reload();
    await expect.poll(() => page.getByLabel('From', { exact: true }).first().inputValue()).toBe('2026-10-20');
  });
});

describePage('what is told elsewhere of it', stage => {
  it('Now says why nothing was recorded, and where a silent station is', async () => {
    const gap = { fromMs: EVENING_AT - 5 * 3_600_000, toMs: EVENING_AT - 4 * 3_600_000 };
    const span = (fromMs: number, toMs: number | null, note: string) => ({
      ...lentDay().spans[0]!,
      fromAt: new Date(fromMs).toISOString(),
      toAt: toMs === null ? null : new Date(toMs).toISOString(),
      note,
    });
    const shed = shedData({ gap, ageMs: 900_000, status: { phase: 'stale' } });
    shed.spans = [span(gap.fromMs, gap.toMs, 'to Ida'), span(EVENING_AT - 900_000, null, 'to the mill')];
    const { page, agent } = await stage.open(shed);
    await expect.poll(async () => plain(await sure(page).textContent())).toMatch(/It is lent \(to the mill\) since/);
    const drawing = page.locator('time-chart');
    await expect.poll(async () => plain(await drawing.getByText('stretch').textContent())).toMatch(/lent \(to Ida\)/);
    // Once for the silence, once more for the gap.
    expect(agent.asked.filter(one => one.path.endsWith('/spans')).length).toBeLessThanOrEqual(2);
  });

  it('Setup takes what was paid and the hours with another price, and says at the field what is wrong', async () => {
    const { page, agent } = await stage.open(shedData({}, { settings: shedSettings() }), { path: '/setup' });
    await page.getByText('Battery', { exact: true }).click();
    await page.getByLabel('Paid for the station').fill('900');
    await page.getByText('Price', { exact: true }).click();
    await page.locator('#tariff-perKWh').fill('0.34');
    await page.getByLabel('Currency').fill('eur');
    await page.getByRole('button', { name: 'Add hours' }).click();
    for (const day of ['Sat', 'Sun']) await page.getByRole('checkbox', { name: day }).uncheck();
    await page.getByLabel('From, h').fill('22');
    await page.getByLabel('To, h').fill('6');
    await page.locator('#tariff-hours-0-perKWh').fill('0.19');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('This must be later than its beginning; over midnight takes two entries.').waitFor();
    expect(await axeViolations(page)).toEqual([]);
    await page.getByLabel('To, h').fill('24');
    // What was wrong goes with the change, and the button moves up by its line.
    await page.getByLabel('To, h').blur();
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Saved. The agent uses it from now on.').waitFor();
    const put = agent.asked.find(one => one.method === 'PUT')!.body as ReturnType<typeof shedSettings>;
    expect(put.station[0]!.paid).toBe(900);
    expect(put.tariff).toEqual({
      perKWh: 0.34,
      currency: 'EUR',
      hours: [{ days: ['mon', 'tue', 'wed', 'thu', 'fri'], fromHour: 22, toHour: 24, perKWh: 0.19 }],
    });
    await page.getByRole('button', { name: 'Remove hours 1' }).click();
    await page.getByRole('button', { name: 'Save' }).click();
    await expect.poll(() => (agent.data.settings.tariff ?? {}) as object).toEqual({ perKWh: 0.34, currency: 'EUR' });
  });
});
