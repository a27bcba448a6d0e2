import { describe, expect, it } from 'vitest';
import { chooseNetwork, type InterfaceList, networksOf } from '../../agent/sharing/networks.ts';

const v4 = (address: string, internal = false) => ({ address, family: 'IPv4', internal });
const v6 = (address: string, internal = false) => ({ address, family: 'IPv6', internal });
const LAPTOP: InterfaceList = {
  lo: [v4('127.0.0.1', true), v6('::1', true)],
  wlan0: [v6('fe80::1'), v4('192.168.1.5'), v6('fd00::5')],
  eth0: [v4('10.0.0.7')],
  usb0: [v6('fe80::2')],
  tun0: [v6('fd00::9')],
  zero: [v4('169.254.3.4')],
};

describe('own networks', () => {
  it('are those that others can reach: one address an interface, no loopback, none that needs a zone', () => {
    expect(networksOf(LAPTOP)).toEqual([
      { name: 'wlan0', address: '192.168.1.5' },
      { name: 'eth0', address: '10.0.0.7' },
      { name: 'tun0', address: 'fd00::9' },
    ]);
  });

  it('are chosen by name or address', () => {
    const networks = networksOf(LAPTOP);
    expect(chooseNetwork(networks, 'eth0').address).toBe('10.0.0.7');
    expect(chooseNetwork(networks, '192.168.1.5').name).toBe('wlan0');
  });

  it('need no name where there is one, and are all named where there are several or another was meant', () => {
    const networks = networksOf(LAPTOP);
    expect(chooseNetwork(networks.slice(0, 1), null).name).toBe('wlan0');
    for (const wanted of [null, 'wlan1']) {
      expect(() => chooseNetwork(networks, wanted)).toThrow(
        expect.objectContaining({
          code: 'USAGE',
          [wanted === null ? 'message' : 'fix']: expect.stringContaining('wlan0 (192.168.1.5), eth0'),
        }),
      );
    }
  });

  it('may be none, and that is said', () => {
    expect(() => chooseNetwork(networksOf({ lo: LAPTOP.lo }), null)).toThrow(
      expect.objectContaining({ code: 'NETWORK_MISSING', message: 'This computer is in no network now.' }),
    );
  });
});
