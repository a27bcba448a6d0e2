import { expect, it } from 'vitest';
import { shedStation } from '../support/honey-shed.ts';
import { describePage, plain, seen, sentence, sure } from '../support/page-stage.ts';
import { shedData, shedSettings } from '../support/shed-agent.ts';

const onAir = shedStation({ transport: 'ble', simulated: false });

describePage('a Bluetooth station', stage => {
  const headline = async (page: Parameters<typeof sentence>[0], text: string) => {
    await sentence(page).filter({ hasText: text }).waitFor();
    return plain(await sure(page).textContent());
  };

  it('is found in Setup with its signal and services, and chosen with one tap', async () => {
    const data = shedData({}, { settings: shedSettings() });
    data.scan.peripherals = [
      {
        id: 'c00000000001',
        name: 'Honey shed',
        services: ['180f'],
        rssiDbm: -52,
        connectable: true,
        adapters: ['ble-battery'],
      },
      { id: 'c00000000002', name: null, services: [], rssiDbm: -91, connectable: false, adapters: [] },
    ];
    const { page, agent } = await stage.open(data, { path: '/setup' });
    await page.getByLabel('Connection').selectOption('ble');
    await page.getByRole('button', { name: 'Search for stations' }).click();
    await page.getByText('2 heard.').waitFor();
    expect(await seen(page.locator('ble-scan ul'))).toBe(
      'Honey shed near, −52 dBm · battery service · for the adapter ble-battery Choose ' +
        'without a name far, −91 dBm · another app holds it Choose',
    );
    await page.getByRole('button', { name: 'Choose Honey shed' }).click();
    expect(await page.getByLabel('Bluetooth name').inputValue()).toBe('Honey shed');
    expect(await page.getByLabel('Adapter', { exact: true }).inputValue()).toBe('ble-battery');
    await page.getByRole('button', { name: 'Save' }).click();
    await page.getByText('Saved. The agent uses it from now on.').waitFor();
    const saved = agent.asked.find(a => a.method === 'PUT')?.body as { station: { transport: unknown }[] };
    expect(saved.station[0]!.transport).toEqual({ kind: 'ble', name: 'Honey shed' });
  });

  it('says why there is no Bluetooth', async () => {
    const data = shedData({}, { settings: shedSettings() });
    data.scan.trouble = 'no permission for Bluetooth; run: sudo setcap cap_net_raw+eip /usr/bin/node';
    const { page } = await stage.open(data, { path: '/setup' });
    await page.getByLabel('Connection').selectOption('ble');
    await page.getByRole('button', { name: 'Search for stations' }).click();
    await page.getByText('No Bluetooth: no permission for Bluetooth; run: sudo setcap').waitFor();
  });

  it('is released and put away in Setup', async () => {
    const { page, agent } = await stage.open(shedData({ station: onAir }, { settings: shedSettings() }), {
      path: '/setup',
    });
    await page.getByText('Let it go for a while').click();
    await page.getByRole('button', { name: 'Release for 10 minutes' }).click();
    await expect.poll(() => agent.asked.some(a => a.path === '/api/stations/shed/release')).toBe(true);
    await page.getByRole('button', { name: 'Put away' }).click();
    await expect.poll(() => agent.asked.some(a => a.path === '/api/stations/shed/put-away')).toBe(true);
  });

  it('that is released says until when, and is taken up with one tap', async () => {
    const status = { phase: 'released', nextTryInMs: 540_000 } as const;
    const { page, agent } = await stage.open(shedData({ station: onAir, status }));
    expect(await headline(page, 'Released.')).toContain('It is taken up again by itself in 9 min');
    await page.getByRole('button', { name: 'Take it up again' }).click();
    await expect.poll(() => agent.asked.some(a => a.path === '/api/stations/shed/retry')).toBe(true);
  });

  it('that is put away says that nothing looks for it', async () => {
    const { page } = await stage.open(shedData({ station: onAir, status: { phase: 'away' } }));
    expect(await headline(page, 'Put away.')).toBe(
      'Nothing looks for it and nothing keeps it awake, until you take it out.',
    );
  });

  it('that went out of reach is not told to be plugged in', async () => {
    const status = {
      phase: 'retrying',
      failure: 'unplugged',
      detail: 'the station went out of reach',
      attempt: 1,
      attemptsAllowed: 0,
      nextTryInMs: 700,
    } as const;
    const { page } = await stage.open(shedData({ station: onAir, status }));
    expect(await headline(page, 'Disconnected: it went out of reach.')).not.toContain('Plug');
  });

  it('whose connection keeps breaking is promised from as before, and that is said once', async () => {
    const status = { phase: 'live', failure: 'unsteady' } as const;
    const { page } = await stage.open(shedData({ station: onAir, status }));
    const how = await headline(page, 'At least until 01:20');
    expect(how).toContain('Four times in five');
    expect(how.split('The connection keeps breaking.')).toHaveLength(2);
  });
});
