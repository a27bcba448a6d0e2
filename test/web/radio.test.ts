import { describe, expect, it } from 'vitest';
import { check } from '../../web/views/setup/draft.ts';
import { addressOf, bound, chosen, type Heard } from '../../web/views/setup/peripherals.ts';
import * as connection from '../../web/words/connection.ts';
import { service } from '../../web/words/radio.ts';

const heard = (change: Partial<Heard> = {}): Heard => ({
  id: 'c00000000001',
  name: 'Honey shed',
  services: ['180f'],
  rssiDbm: -61,
  connectable: true,
  adapters: ['ble-battery'],
  ...change,
});

describe('what a search heard', () => {
  it('is taken by its name where only one has it, with the adapter it looks made for', () => {
    expect(chosen(heard(), [heard(), heard({ id: 'c00000000002', name: 'Lamp' })])).toEqual({
      transport: { kind: 'ble', name: 'Honey shed' },
      adapter: 'ble-battery',
      name: 'Honey shed',
    });
  });

  it('is taken by its address where two have one name, or it has none', () => {
    const twin = heard({ id: 'c00000000002' });
    expect(chosen(twin, [heard(), twin]).transport).toEqual({ kind: 'ble', address: 'C0:00:00:00:00:02' });
    const nameless = heard({ name: null, adapters: [] });
    expect(chosen(nameless, [nameless])).toEqual({
      transport: { kind: 'ble', address: 'C0:00:00:00:00:01' },
      adapter: null,
      name: null,
    });
    // An id as macOS gives it is no address.
    expect(addressOf('5f0c9d2e8a1b4c3d9e8f7a6b5c4d3e2f')).toBe('5f0c9d2e8a1b4c3d9e8f7a6b5c4d3e2f');
  });

  it('is near, fair or far', () => {
    expect([-40, -60, -61, -85, -86].map(bound)).toEqual(['near', 'near', 'fair', 'fair', 'far']);
  });

  it('has services in words where they have a name, and the first digits of long ones', () => {
    expect(service('180f')).toBe('battery service');
    expect(service('2bed')).toBe('service 2bed');
    expect(service('6b1f00a00000400080000000aabbcc01')).toBe('service 6b1f00a0…');
  });
});

describe('a Bluetooth station in the settings', () => {
  const station = (transport: object) => ({
    station: [{ id: 'shed', name: 'Shed', adapter: 'ble-battery', transport }],
  });

  it('takes one of name, service and address', () => {
    for (const told of [
      { name: 'Honey shed' },
      { service: '180f' },
      { service: '6B1F00A0-0000-4000-8000-0000AABBCC01' },
      { address: 'C0:00:00:00:00:01' },
    ]) {
      expect(check(station({ kind: 'ble', ...told })).ok).toBe(true);
    }
  });

  it('complains at the name where nothing is told, and at a service that is no number', () => {
    const wrong = (transport: object) => {
      const checked = check(station({ kind: 'ble', ...transport }));
      return checked.ok ? null : Object.fromEntries(checked.wrong);
    };
    expect(wrong({})).toEqual({ 'station.0.transport.name': 'This needs a name, a service or an address.' });
    expect(wrong({ service: 'battery' })).toEqual({
      'station.0.transport.service': 'This needs 4 or 32 hexadecimal digits.',
    });
  });
});

describe('the words of a lost station', () => {
  it('are those of the air over Bluetooth', () => {
    expect(connection.disconnected('unplugged', 'ble')).toBe('Disconnected: it went out of reach.');
    expect(connection.disconnected('unplugged', 'serial')).toBe('Disconnected: it was unplugged.');
    expect(connection.disconnected('adapterCrashed', 'ble')).toBe(connection.disconnected('adapterCrashed'));
    expect(connection.whatToDo('unplugged', 'ble')).not.toContain('Plug');
    // The system's own words hold the command.
    expect(connection.whatToDo('permission', 'ble')).toBe('');
  });
});
