/** A search for Bluetooth LE peripherals, and which adapters each looks made for. */
import type { AdapterManifest, Timers } from '#kit';
import type { ScanAnswer } from '#messages';
import type { BleHeard, Radio } from '../../transports/ble-radio.ts';

/** More than any place has within reach. */
const MOST = 200;

/** One that advertises a service an adapter looks for, or has a name that begins so. */
export function fits({ name, services }: Pick<BleHeard, 'name' | 'services'>, { ble }: AdapterManifest): boolean {
  if (ble === undefined) return false;
  const { services: wanted = [], namePrefix } = ble.find;
  return (
    wanted.some(uuid => services.includes(uuid)) || (namePrefix !== undefined && (name ?? '').startsWith(namePrefix))
  );
}

export interface ScanParts {
  readonly radio: Radio;
  readonly timers: Timers;
  readonly manifests: () => readonly AdapterManifest[];
}

/** Listens for `forMs`; that there is no Bluetooth is an answer too. */
export async function scan({ radio, timers, manifests }: ScanParts, forMs: number): Promise<ScanAnswer> {
  const heard = new Map<string, BleHeard>();
  const trouble = await new Promise<string | null>(resolve => {
    const stop = radio.search({
      heard(peripheral) {
        // What it told once it need not tell in every advertisement.
        const before = heard.get(peripheral.id);
        const services = peripheral.services.length === 0 ? (before?.services ?? []) : peripheral.services;
        if (before !== undefined || heard.size < MOST) {
          heard.set(peripheral.id, { ...peripheral, services, name: peripheral.name ?? before?.name ?? null });
        }
      },
      failed(_failure, detail) {
        cancel();
        resolve(detail);
      },
    });
    const cancel = timers.after(forMs, () => {
      stop();
      resolve(null);
    });
  });
  const adapters = manifests();
  return {
    trouble,
    peripherals: [...heard.values()]
      .sort((a, b) => b.rssiDbm - a.rssiDbm)
      .map(peripheral => ({
        ...peripheral,
        services: [...peripheral.services],
        adapters: adapters.filter(manifest => fits(peripheral, manifest)).map(({ id }) => id),
      })),
  };
}
