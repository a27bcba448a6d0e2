import * as v from 'valibot';
import { expect, it } from 'vitest';
import { StationSettings } from '#messages';
import { shedAlarm } from '../support/alarms.ts';
import { EVENING_AT } from '../support/honey-shed.ts';
import { describePage, plain } from '../support/page-stage.ts';
import { shedData } from '../support/shed-agent.ts';

describePage('alarms', stage => {
  it('calls once on any view when half an hour or less is promised, and asks nobody for leave to notify', async () => {
    const data = shedData();
    const alarm = shedAlarm();
    data.messages.push({ type: 'alarms', alarms: [alarm] });
    const { page, agent } = await stage.open(data, { path: '/ledger' });
    const alert = page.getByRole('alert');
    await alert.waitFor();
    expect(plain(await alert.textContent())).toContain(
      'Honey shed: at 20:00 no more than 19 min was promised. The floor of 10 % may come at 20:20.',
    );
    expect(await page.evaluate(() => Notification.permission)).not.toBe('granted');
    const button = alert.getByRole('button', { name: 'Acknowledge' });
    expect((await button.boundingBox())!.height).toBeGreaterThanOrEqual(48);
    await button.click();
    await expect
      .poll(() => agent.asked.find(({ path }) => path === '/api/alarms')?.body)
      .toEqual({ do: 'acknowledge', id: alarm.id });
    agent.push({ type: 'alarms', alarms: [{ ...alarm, state: 'acknowledged' }] });
    await alert.waitFor({ state: 'detached' });
    await page.getByText('Acknowledged.').waitFor();
  });

  it('shows an alarm that is set aside as a count, and says what follows where it is asked', async () => {
    const data = shedData();
    const alarm = shedAlarm();
    data.messages.push({ type: 'alarms', alarms: [alarm] });
    const { page, agent } = await stage.open(data, { path: '/setup' });
    await page.getByText('What to do, and how long there is').click();
    await page.getByText('below it the outlets stop').waitFor();
    await page.getByRole('button', { name: 'Set aside until tomorrow' }).click();
    await expect
      .poll(() => agent.asked.find(({ path }) => path === '/api/alarms')?.body)
      .toEqual({ do: 'shelve', id: alarm.id, until: 'tomorrow' });
    const shelvedUntilAt = new Date(EVENING_AT + 11 * 3_600_000).toISOString();
    agent.push({ type: 'alarms', alarms: [{ ...alarm, shelvedUntilAt }] });
    await page.getByText('One alarm is set aside.').click();
    await page.getByText('Until 07:00').waitFor();
    await page.getByRole('button', { name: 'Take it back' }).click();
    agent.push({ type: 'alarms', alarms: [] });
    await page.getByText('One alarm is set aside.').waitFor({ state: 'detached' });
  });

  it('lets who may only look see an alarm, and not answer it', async () => {
    const data = shedData();
    data.scope = 'view';
    data.messages.push({ type: 'alarms', alarms: [shedAlarm()] });
    const { page } = await stage.open(data);
    await page.getByRole('alert').waitFor();
    expect(await page.getByRole('button', { name: 'Acknowledge' }).count()).toBe(0);
  });

  it('sounds only after a tap has allowed it', async () => {
    const data = shedData();
    data.messages.push({ type: 'alarms', alarms: [shedAlarm()] });
    const { page, agent } = await stage.open(data, {
      path: '/setup',
      before: async page => {
        await page.addInitScript(() => {
          const tones: number[] = [];
          Object.assign(window, { tones });
          const start = OscillatorNode.prototype.start;
          OscillatorNode.prototype.start = function (when) {
            tones.push(this.frequency.value);
            start.call(this, when);
          };
        });
      },
    });
    const tones = () => page.evaluate(() => (window as unknown as { tones: number[] }).tones);
    await page.getByRole('alert').waitFor();
    expect(await tones()).toEqual([]);
    await page.getByRole('button', { name: 'Sound a tone with each alarm' }).click();
    expect(await tones()).toEqual([520]);
    agent.push({ type: 'alarms', alarms: [shedAlarm({ id: 'a2', call: 2 })] });
    await expect.poll(tones).toEqual([520, 880, 880, 880]);
    // Another run of the agent counts its calls from elsewhere.
    agent.push({ type: 'alarms', alarms: [] });
    agent.push({ type: 'alarms', alarms: [shedAlarm({ id: 'b1', call: 0 })] });
    await expect.poll(tones).toEqual([520, 880, 880, 880, 880, 880, 880]);
    agent.push({ type: 'alarms', alarms: [shedAlarm({ id: 'b1', call: 0 }), shedAlarm({ id: 'b2', call: 0 })] });
    await page.waitForFunction(
      () => document.querySelector('alarm-lines')?.shadowRoot?.querySelectorAll('section').length === 2,
    );
    expect(await tones()).toHaveLength(7);
  });

  it('gives a station that is put away a file for a calendar', async () => {
    const data = shedData({ status: { phase: 'away' } });
    for (const station of data.stations) station.simulated = false;
    data.settings.station = [
      v.parse(StationSettings, { id: 'shed', name: 'Honey shed', transport: { kind: 'serial', path: '/dev/ttyUSB0' } }),
    ];
    const { page } = await stage.open(data, { path: '/setup' });
    const link = page.getByRole('link', { name: 'A day to top it up, for your calendar' });
    await link.waitFor();
    expect(await link.getAttribute('href')).toBe('/api/stations/shed/put-away.ics');
    expect(await link.getAttribute('download')).not.toBeNull();
  });
});
