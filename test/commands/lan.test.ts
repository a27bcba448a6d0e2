import { describe, expect, it } from 'vitest';
import { WattkeepError } from '#kit';
import { createLan } from '../../agent/commands/run/lan.ts';
import type { Network } from '../../agent/sharing/index.ts';
import { handClock } from '../support/hand-clock.ts';

const WLAN: Network = { name: 'wlan0', address: '192.168.1.5' };
const ETH: Network = { name: 'eth0', address: '10.0.0.7' };
const LOOK_MS = 10_000;

/** A computer whose networks come and go, and what listens on it. */
function computer(first: Network[]) {
  const clock = handClock();
  const listening = new Set<string>();
  let networks = first;
  let busy = false;
  const lan = createLan({
    server: () => ({
      port: 7420,
      async open(address) {
        if (busy) throw new WattkeepError('PORT_BUSY', `Port 7420 of ${address} is already in use.`, 'Choose another.');
        listening.add(address);
      },
      async shut(address) {
        listening.delete(address);
      },
    }),
    networks: () => networks,
    after: (delayMs, act) => clock.after(delayMs, act),
    note: () => undefined,
  });
  return {
    lan,
    listening: () => [...listening],
    async become(next: Network[]) {
      networks = next;
      clock.advance(LOOK_MS);
      await lan.close();
    },
    setBusy(next: boolean) {
      busy = next;
    },
  };
}

describe('the network that it is shared on', () => {
  it('is none until one is wanted', async () => {
    const { lan, listening } = computer([WLAN]);
    await lan.start(null);
    expect([lan.state().on, listening()]).toEqual([false, []]);
  });

  it('is followed to another address', async () => {
    const { lan, listening, become } = computer([WLAN]);
    await lan.start({ name: 'wlan0' });
    expect(lan.state().addresses).toEqual(['http://192.168.1.5:7420/']);
    await become([{ ...WLAN, address: '192.168.1.77' }]);
    expect(listening()).toEqual(['192.168.1.77']);
    expect(lan.state()).toMatchObject({ on: true, addresses: ['http://192.168.1.77:7420/'], trouble: '' });
  });

  it('may come after the start, and is never another one in its place', async () => {
    const { lan, listening, become } = computer([ETH]);
    await lan.start({ name: 'wlan0' });
    expect([lan.state().on, listening()]).toEqual([true, []]);
    expect(lan.state().trouble).toContain('no network interface wlan0');
    await become([ETH, WLAN]);
    expect(listening()).toEqual([WLAN.address]);
  });

  it('is let go of when it goes away', async () => {
    const { lan, listening, become } = computer([WLAN]);
    await lan.start({ name: 'wlan0' });
    await become([]);
    expect([lan.state().on, lan.state().addresses, listening()]).toEqual([true, [], []]);
    expect(lan.state().trouble).toContain('in no network now');
  });

  it('stays as it was where another that is wanted cannot be', async () => {
    const { lan, listening } = computer([WLAN, ETH]);
    await lan.want({ name: 'wlan0' });
    await expect(lan.want({ name: 'barn0' })).rejects.toThrow(/no network interface barn0/);
    await expect(lan.want({ name: null })).rejects.toThrow(/several networks/);
    expect(listening()).toEqual([WLAN.address]);
    await lan.want({ name: 'eth0' });
    expect(listening()).toEqual([ETH.address]);
    await lan.want(null);
    expect(listening()).toEqual([]);
  });

  it('is off as before where its port is taken', async () => {
    const { lan, listening, setBusy } = computer([WLAN]);
    setBusy(true);
    await expect(lan.want({ name: null })).rejects.toMatchObject({ code: 'PORT_BUSY' });
    expect([lan.state().on, lan.state().trouble, listening()]).toEqual([false, '', []]);
  });

  it('that was the only one when it was switched on is remembered by its name', async () => {
    const { lan, listening, become } = computer([WLAN]);
    await lan.want({ name: null });
    expect(lan.wanted()).toEqual({ name: 'wlan0' });
    await lan.start(lan.wanted());
    await become([ETH, WLAN]);
    expect(listening()).toEqual([WLAN.address]);
  });
});
