import { expect, it } from 'vitest';
import { freezablePage } from '../support/frozen-page.ts';
import { EVENING_AT, shedReading, shedSeries } from '../support/honey-shed.ts';
import { describePage, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData } from '../support/shed-agent.ts';

describePage('the line between page and agent', stage => {
  it('subscribes with the protocol and acknowledges what was shown', async () => {
    const { page, agent } = await stage.open(shedData());
    await sentence(page).filter({ hasText: 'At least' }).waitFor();
    expect(agent.heard[0]).toMatchObject({ type: 'subscribe', protocol: 1, stations: [] });
    await expect.poll(() => agent.heard.at(-1)).toEqual({ type: 'ack', n: 5 });
  });

  it('stops promising when readings stop, and promises again with the next one', async () => {
    const { page, agent } = await stage.open(shedData({}, { heartbeatMs: 3_600_000 }), {
      before: page => page.clock.install(),
    });
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    await page.clock.runFor(12_000);
    await sentence(page).filter({ hasText: 'The last reading is 1' }).waitFor();
    expect(plain(await sure(page).textContent())).toContain('Nothing is promised until the next one comes.');
    expect(await seen(page.locator('table.figures tr').nth(2))).toMatch(/^going out – /);
    agent.push({
      type: 'reading',
      ageMs: 100,
      reading: shedReading({ seq: 2, quantities: { inputPowerW: 0, outputPowerW: 43, stateOfChargePct: 52 } }),
    });
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    expect(await seen(page.locator('table.figures tr').nth(2))).toMatch(/^going out 43 W/);
  });

  it('says that the agent is gone, counts down, and comes back by itself asking only for what it missed', async () => {
    const data = shedData();
    const { page, agent } = await stage.open(data, { expected: /WebSocket|ERR_CONNECTION|Failed to load/ });
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    const wasAt = agent.address;
    await agent.stop();
    await sentence(page).filter({ hasText: 'The agent does not answer.' }).waitFor();
    expect(plain(await sure(page).textContent())).toMatch(/Trying again (in \d+ s|now)\./);
    expect(await seen(page.locator('#mark'))).toContain('agent not answering');
    const spans: number[] = [];
    data.series = (_station, fromMs, toMs) => {
      spans.push(toMs - fromMs);
      return shedSeries(fromMs, toMs);
    };
    data.nowAt = EVENING_AT + 120_000;
    await agent.start();
    expect(agent.address).toBe(wasAt);
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    await expect.poll(() => spans.length).toBe(1);
    expect(spans[0]).toBeLessThan(5 * 60_000);
  });

  it('never claims a live reading once the socket is cut', async () => {
    const { page, agent } = await stage.open(shedData(), { expected: /WebSocket|ERR_CONNECTION|Failed to load/ });
    await sentence(page).filter({ hasText: 'At least until' }).waitFor();
    await agent.stop();
    await expect.poll(() => seen(page.locator('#mark')), { timeout: 5000 }).not.toContain('reading');
  });

  it.each([
    ['its clocks ran on', false],
    ['its monotonic clock slept with it', true],
  ])('frozen in the background for an hour, holds nothing old as new and is fresh at once: %s', async (_, slept) => {
    const data = shedData();
    const { page, agent } = await stage.open(data);
    const frozen = await freezablePage(page.context().browser()!, agent.address);
    await page.close();
    const headline = () => frozen.text('h1');
    await expect.poll(headline, { timeout: 15_000 }).toContain('At least until');
    const subscribed = () => agent.heard.filter(said => JSON.stringify(said).includes('subscribe')).length;
    const before = subscribed();

    await frozen.freezeForAnHour(slept);
    const reading = { quantities: { inputPowerW: 0, outputPowerW: 43, stateOfChargePct: 52 } };
    agent.push({ type: 'reading', ageMs: 100, reading: shedReading({ seq: 2, ...reading }) });
    data.messages = data.messages.filter(({ type }) => type !== 'reading');
    data.nowAt += 3_600_000;
    await frozen.thaw();

    await expect.poll(headline).toBe('The last reading is 60 min old.');
    await expect.poll(subscribed).toBe(before + 1);
    expect(await headline()).toBe('The last reading is 60 min old.');
    agent.push({ type: 'reading', ageMs: 100, reading: shedReading({ seq: 3, ...reading }) });
    await expect.poll(headline).toContain('At least until');
    await frozen.close();
  });

  it('shows every view under the strict policy, which refuses a script that is written into the page', async () => {
    const { page } = await stage.open(shedData(), { expected: /probe|inline script/ });
    for (const view of ['Ledger', 'Setup', 'Now']) {
      await page.getByRole('link', { name: view, exact: true }).click();
      await page.locator(`${view.toLowerCase()}-view h1`).waitFor();
    }
    const refused = await page.evaluate(
      () =>
        new Promise<number>(resolve => {
          document.addEventListener('securitypolicyviolation', event => {
            console.error(`probe: ${event.violatedDirective}`);
            resolve(1);
          });
          const probe = document.createElement('script');
          probe.textContent = 'window.probe = 1';
          document.body.append(probe);
        }),
    );
    expect(refused).toBe(1);
    expect(await page.evaluate(() => 'probe' in window)).toBe(false);
  });
});
