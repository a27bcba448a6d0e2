import { expect, it } from 'vitest';
import { nothingYet } from '../support/fake-agent.ts';
import { EVENING_AT, shedProjection, shedReading, shedStation, shedStatus, shedTally } from '../support/honey-shed.ts';
import { toldOutage } from '../support/outages.ts';
import { describePage, PHONE, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData } from '../support/shed-agent.ts';

describePage('the Now view', stage => {
  const headline = async (page: Parameters<typeof sentence>[0], text: string) => {
    await sentence(page).filter({ hasText: text }).waitFor();
    return plain(await sure(page).textContent());
  };

  it('leads with the sentence, then how sure, one drawing and three rows', async () => {
    const { page } = await stage.open(shedData());
    const how = await headline(page, 'At least until 01:20, more likely 03:10.');
    expect(how).toContain('Four times in five between 01:20 and 05:30');
    await page.locator('time-chart canvas').waitFor();
    expect(await seen(page.locator('table.figures'))).toContain(
      'now last hour today coming in 0 W 0 Wh 1 028 Wh going out 41 W 76 Wh 920 Wh left 52 % −6 % 599 Wh to floor',
    );
    expect(await seen(page.locator('#mark'))).toMatch(/^Simulated station · reading \d/);
    expect(await page.title()).toBe('Now · Honey shed');
  });

  it('opens the chain behind the sentence', async () => {
    const { page } = await stage.open(shedData());
    const why = page.getByRole('button', { name: 'Why?' });
    await why.click();
    expect(await why.getAttribute('aria-expanded')).toBe('true');
    expect(await seen(page.locator('#why'))).toContain('Mean of the last 60 min: 0 W in, 76 W out');
  });

  it('asks for a station in three steps where there is none', async () => {
    const { page } = await stage.open(nothingYet());
    await headline(page, 'No station yet.');
    expect(await page.locator('ol.steps li').count()).toBe(3);
    await page.getByRole('link', { name: 'Open Setup' }).click();
    await sentence(page).filter({ hasText: 'No station set up yet.' }).waitFor();
    expect(new URL(page.url()).pathname).toBe('/setup');
  });

  it('waits in words for the first reading', async () => {
    const { page } = await stage.open(shedData({ reading: null, projection: null, status: { phase: 'waiting' } }));
    await headline(page, 'Waiting for the first reading of Honey shed.');
  });

  it('tells why a station is lost and what is being tried, and passes on “Try now”', async () => {
    const status = { phase: 'retrying', failure: 'unplugged', attempt: 3, nextTryInMs: 8000 } as const;
    const { page, agent } = await stage.open(shedData({ status }));
    const how = await headline(page, 'Disconnected: it was unplugged.');
    expect(how).toMatch(/Try 3 of 10\. Trying again in \d s\./);
    await page.getByRole('button', { name: 'Try now' }).click();
    await expect.poll(() => agent.asked.find(a => a.path === '/api/stations/shed/retry')?.header).toBe('1');
  });

  it('cannot tell without a state of charge, and shows it as missing', async () => {
    const reading = { quantities: { inputPowerW: 12, outputPowerW: 41, stateOfChargePct: null } };
    const projection = {
      toward: 'none',
      why: 'noStateOfCharge',
      emptyAt: null,
      stopsAt: null,
      fan: null,
      leftWh: null,
    } as const;
    const { page } = await stage.open(shedData({ reading, projection }));
    expect(await headline(page, 'How long it lasts cannot be told.')).toContain('leaves out its state of charge');
    expect(await seen(page.locator('table.figures tr').last())).toBe('left – −6 % –');
  });

  it('says on mains what would be if the power failed now', async () => {
    const { page } = await stage.open(
      shedData({ reading: { states: { onMains: true } }, projection: { onMains: true } }),
    );
    await headline(page, 'If the power failed now: at least until 01:20');
  });

  it('tells of an outage that goes on', async () => {
    const outages = [toldOutage(EVENING_AT - 7_200_000, { startPct: 70, outputWh: 90 })];
    const { page } = await stage.open(shedData({}, { outages }));
    await sure(page).filter({ hasText: 'The mains failed at 18:00.' }).waitFor();
  });

  it('sums up an outage that is over until it is put away, also after the page was closed', async () => {
    const outages = [
      toldOutage(EVENING_AT - 7_200_000, {
        endedAt: new Date(EVENING_AT - 3_600_000).toISOString(),
        startPct: 88,
        endPct: 71,
        lowestPct: 71,
        outputWh: 210,
        promised: {
          madeAt: new Date(EVENING_AT - 7_190_000).toISOString(),
          p10: new Date(EVENING_AT + 5 * 3_600_000).toISOString(),
          p50: null,
        },
      }),
    ];
    const { page } = await stage.open(shedData({}, { outages }));
    const over = page.getByRole('region', { name: 'The last outage' });
    await over.waitFor();
    expect(plain(await over.textContent())).toContain('The mains were away for 60 min. From 18:00 to 19:00.');
    await over.getByRole('button', { name: 'Put this away' }).click();
    await over.waitFor({ state: 'detached' });
    await page.reload();
    await page.locator('almanac-table').waitFor();
    expect(await over.count()).toBe(0);
  });

  it('asks once where unknown input comes from, and tells the agent', async () => {
    const reading = { quantities: { inputPowerW: 120, outputPowerW: 41, stateOfChargePct: 52 }, states: {} };
    const { page, agent } = await stage.open(shedData({ reading, station: { inputSource: 'unknown' } }));
    await page.getByText('are coming in. From where?').waitFor();
    await page.getByRole('button', { name: 'Sun' }).click();
    await expect
      .poll(() => agent.asked.find(a => a.path.endsWith('/input-source')))
      .toMatchObject({ header: '1', body: { inputSource: 'sun' } });
    await page.getByText('are coming in. From where?').waitFor({ state: 'detached' });
  });

  it('asks whether a station tells other units now, and passes the answer on', async () => {
    const units = { quantity: 'batteryVoltageV', as: '× 10', was: 26.4, is: 264 };
    const { page, agent } = await stage.open(shedData({ status: { phase: 'live', units } }));
    const question = page.getByText('has changed at once (× 10: 26.4 before, 264 now)');
    await question.waitFor();
    expect(await question.textContent()).toContain('“battery voltage”');
    await page.getByRole('button', { name: 'Yes, take its numbers as they come now' }).click();
    await expect.poll(() => agent.asked.find(a => a.path === '/api/stations/shed/units')?.header).toBe('1');
  });

  it('marks typed numbers with their age and takes three new ones', async () => {
    const changes = {
      station: { transport: 'typed', simulated: false },
      status: { phase: 'typed', staleAfterMs: null },
      reading: { typed: true },
      ageMs: 1_500_000,
    } as const;
    const { page, agent } = await stage.open(shedData(changes));
    await sure(page).filter({ hasText: 'From numbers typed 25' }).waitFor();
    expect(await seen(page.locator('#mark'))).toBe('typed 25 min ago');
    await page.getByLabel('coming in').fill('55,5');
    await page.getByLabel('going out').fill('120');
    await page.getByRole('button', { name: 'Enter these numbers' }).click();
    await page.getByText('“left” needs a number from 0 to 100.').waitFor();
    await page.getByLabel('left').fill('48');
    await page.getByRole('button', { name: 'Enter these numbers' }).click();
    await expect
      .poll(() => agent.asked.find(a => a.path.endsWith('/typed'))?.body)
      .toEqual({ inputPowerW: 55.5, outputPowerW: 120, stateOfChargePct: 48 });
  });

  it('says on every view when nothing is being saved', async () => {
    const data = shedData();
    const saved = {
      lastSavedAt: null,
      commitIntervalMs: 10_000,
      trouble: 'DISK_FULL',
      troubleSinceAt: new Date(EVENING_AT).toISOString(),
      notes: ['Free at least 30 MB.'] as string[],
    } as const;
    data.messages.push({
      type: 'health',
      health: {
        version: '0.1.0',
        uptimeMs: 1,
        demo: false,
        saved,
        clock: 'synced',
        notes: ['What looks ahead keeps ending.'],
        clients: 1,
        refused: {},
      },
    });
    const { page } = await stage.open(data);
    await page
      .getByText(
        /Nothing is being saved: the disk is full\..* Since \S+.* Free at least 30 MB\. What looks ahead keeps ending\./,
      )
      .waitFor();
    await page.getByRole('link', { name: 'Ledger' }).click();
    await sentence(page).filter({ hasText: 'from the sun since' }).waitFor();
    expect(await page.getByText('Nothing is being saved: the disk is full.').isVisible()).toBe(true);
  });

  it('offers several stations as a plain choice and keeps the chosen one', async () => {
    const data = shedData();
    data.stations.push(shedStation({ id: 'attic', name: 'Attic', simulated: false }));
    data.messages.push({ type: 'status', status: shedStatus({ station: 'attic' }) });
    data.messages.push({
      type: 'reading',
      ageMs: 100,
      reading: shedReading({ station: 'attic', quantities: { inputPowerW: 0, outputPowerW: 7, stateOfChargePct: 90 } }),
    });
    data.messages.push(
      { type: 'day', tally: shedTally({ station: 'attic' }) },
      { type: 'projection', projection: shedProjection({ station: 'attic' }) },
    );
    const { page } = await stage.open(data);
    await page.getByLabel('Station').selectOption('Attic');
    await page.locator('table.figures').filter({ hasText: '90' }).waitFor();
    expect(await seen(page.locator('#mark'))).toMatch(/^reading/);
    await page.reload();
    await page.locator('table.figures').filter({ hasText: '90' }).waitFor();
  });

  it('tells the station’s zone where the browser has another', async () => {
    const { page } = await stage.open(shedData(), { timezoneId: 'America/New_York' });
    await headline(page, 'At least until 01:20');
    expect(await seen(page.locator('#mark'))).toContain('times of Europe/Rome');
  });

  it('keeps a long name to two lines, and within every width', async () => {
    const name = 'Long shed behind the orchard with the extractor and freezers';
    const { page } = await stage.open(shedData({ station: { name } }), { viewport: PHONE });
    const told = page.locator('#name span');
    await told.filter({ hasText: name }).waitFor();
    for (const width of [320, 390, 720, 800, 900, 1280]) {
      await page.setViewportSize({ width, height: 700 });
      const lines = await told.evaluate(
        e => e.getBoundingClientRect().height / parseFloat(getComputedStyle(e).lineHeight),
      );
      const over = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
      expect([width, lines < 2.1, over]).toEqual([width, true, 0]);
    }
  });

  it('shows the short mark on a phone, and the menu at the bottom', async () => {
    const { page } = await stage.open(shedData(), { viewport: PHONE });
    await headline(page, 'At least until 01:20');
    expect(await seen(page.locator('#mark'))).toMatch(/^simulated · [\d.]+ s old$/);
    const menu = (await page.locator('#menu').boundingBox())!;
    expect(Math.round(menu.y + menu.height)).toBe(PHONE.height);
    for (const link of await page.locator('#menu a:visible').all())
      expect((await link.boundingBox())!.height).toBeGreaterThanOrEqual(48);
  });

  it('asks for a reload where the agent speaks another version', async () => {
    const data = shedData({}, { protocol: 2 });
    const { page } = await stage.open(data);
    const reload = page.getByRole('button', { name: 'Reload to update' });
    await reload.waitFor();
    data.protocol = 1;
    await reload.click();
    await headline(page, 'At least until 01:20');
  });
});
