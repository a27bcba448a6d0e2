import { expect, it } from 'vitest';
import { describePage, seen, sentence } from '../support/page-stage.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

describePage('Setup', stage => {
  it('Setup changes one field and sends the whole with the header', async () => {
    const { page, agent } = await stage.open(shedData({}, { settings: shedSettings() }), { path: '/setup' });
    await sentence(page).filter({ hasText: 'Honey shed: 1' }).waitFor();
    await page.getByText('Battery', { exact: true }).click();
    await page.getByLabel('Floor, %').fill('20');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Saved. The agent uses it from now on.').waitFor();
    const put = agent.asked.find(a => a.method === 'PUT')!;
    expect(put.header).toBe('1');
    expect(put.body).toEqual({ ...shedSettings(), station: [{ ...shedSettings().station[0]!, reserveFloorPct: 20 }] });
  });

  it('a wrong value is told at its field, and nothing is sent', async () => {
    const { page, agent } = await stage.open(shedData({}, { settings: shedSettings() }), { path: '/setup' });
    await page.getByText('Battery', { exact: true }).click();
    await page.getByLabel('Floor, %').fill('95');
    await page.getByText('Battery', { exact: true }).click();
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Not above 90.').waitFor();
    expect(await page.getByLabel('Floor, %').getAttribute('aria-invalid')).toBe('true');
    expect(await page.evaluate(() => document.querySelector('setup-view')!.shadowRoot!.activeElement?.id)).toBe(
      'station-0-reserveFloorPct',
    );
    expect(agent.asked.filter(a => a.method === 'PUT')).toEqual([]);
  });

  it('what the agent refuses is told at its field with what to do', async () => {
    const refusal = {
      code: 'SETTINGS_VALUE',
      message: 'The port /dev/ttyUSB0 is used twice.',
      fix: 'Choose another port.',
      path: 'station.0.transport.path',
    };
    const { page } = await stage.open(shedData({}, { settings: shedSettings(), refuse: () => refusal }), {
      path: '/setup',
      expected: /400/,
    });
    await page.getByLabel('Serial port').waitFor();
    await page.getByRole('button', { name: 'Save' }).click();
    const wrong = page.locator('#station-0-transport-path-wrong');
    await wrong.waitFor();
    expect(await seen(wrong)).toBe('The port /dev/ttyUSB0 is used twice. Choose another port.');
  });

  it('a station without a cable is added in three fields, another is removed after a question', async () => {
    const { page, agent } = await stage.open(
      shedData({}, { settings: shedSettings(), ports: [{ path: '/dev/ttyACM0', label: 'a board' }] }),
      { path: '/setup' },
    );
    await page.getByRole('button', { name: 'Add a station' }).click();
    await page.getByLabel('Name', { exact: true }).first().fill('Attic');
    await page.getByLabel('Connection').selectOption('typed: no cable');
    expect(await page.getByLabel('Serial port').count()).toBe(0);
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Saved.').waitFor();
    const saved = () => agent.data.settings.station.map(s => [s.id, s.transport.kind]);
    expect(saved()).toEqual([
      ['shed', 'serial'],
      ['attic', 'typed'],
    ]);
    await page.getByRole('button', { name: 'Remove this station' }).click();
    await page.getByRole('button', { name: 'Remove it' }).click();
    await page.getByRole('button', { name: 'Save' }).click();
    await expect.poll(saved).toEqual([['shed', 'serial']]);
  });

  it('ports that are plugged in are offered', async () => {
    const { page } = await stage.open(
      shedData({}, { settings: shedSettings(), ports: [{ path: '/dev/ttyACM0', label: 'a board' }] }),
      { path: '/setup' },
    );
    await page.locator('setup-view datalist#ports option[value="/dev/ttyACM0"]').waitFor({ state: 'attached' });
  });

  it('licences of all that is bundled are one link away', async () => {
    // The browser's own page for plain text styles itself, which the policy forbids.
    const { page } = await stage.open(shedData(), { path: '/setup', expected: /inline style/ });
    await page.getByRole('link', { name: 'Licences of what this page contains' }).click();
    const text = await seen(page.locator('body'));
    for (const name of ['lit-html ', 'uplot ', 'valibot ', 'SIL OPEN FONT LICENSE'])
      expect(text.toLowerCase()).toContain(name.toLowerCase());
  });
});
