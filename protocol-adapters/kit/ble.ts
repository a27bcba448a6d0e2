/**
 * What an adapter needs of a Bluetooth LE peripheral: named characteristics instead of one stream of bytes. The agent
 * connects, discovers and subscribes; the adapter only sees the names it chose here.
 */

export interface BleCharacteristic {
  /** UUID of its service: 4 hex digits for an assigned number, else 32, lower case, no dashes. */
  readonly service: string;
  readonly uuid: string;
  /** `notify` (or indicate): subscribed once connected. `read`, `write`: only where the adapter asks. */
  readonly use: readonly ('notify' | 'read' | 'write')[];
  /** The station may lack it. */
  readonly optional?: true;
}

export interface BleNeeds {
  /** A peripheral is offered for this adapter where it advertises one of these services or its name begins so. */
  readonly find: { readonly services?: readonly string[]; readonly namePrefix?: string };
  /** At most 16. Their order counts: the pipe to the adapter names them by it. */
  readonly characteristics: Readonly<Record<string, BleCharacteristic>>;
}

export const MAX_CHARACTERISTICS = 16;

/** Where bytes of a link without characteristics come from and go to. */
export const STREAM = '';

/** Names a link's bytes may come from or go to; the place in this list is what travels on the pipe. */
export const endpoints = (ble: BleNeeds | undefined): readonly string[] => [
  STREAM,
  ...(ble === undefined ? [] : Object.keys(ble.characteristics)),
];

const isUuid = (value: unknown): boolean => typeof value === 'string' && /^([0-9a-f]{4}|[0-9a-f]{32})$/.test(value);
const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;
const USES: readonly unknown[] = ['notify', 'read', 'write'];

function characteristicFault(name: string, candidate: unknown): string | null {
  const where = `manifest.ble.characteristics.${name}`;
  if (!/^[a-z][A-Za-z0-9]{0,39}$/.test(name)) return `${where}: a name is letters and digits, 40 at most`;
  if (!isObject(candidate)) return `${where} is no object`;
  if (!isUuid(candidate.service) || !isUuid(candidate.uuid)) {
    return `${where}: service and uuid are 4 or 32 hex digits, lower case, without dashes`;
  }
  const { use } = candidate;
  if (!Array.isArray(use) || use.length === 0 || !use.every(u => USES.includes(u))) {
    return `${where}.use lists notify, read or write`;
  }
  if (candidate.optional !== undefined && candidate.optional !== true) return `${where}.optional is true or left out`;
  return null;
}

/** What is wrong with the Bluetooth part of a manifest, or null. */
export function bleFault(ble: unknown): string | null {
  if (!isObject(ble)) return 'manifest.ble is missing: a Bluetooth adapter names its characteristics';
  if (!isObject(ble.find)) return 'manifest.ble.find is missing';
  const { services, namePrefix } = ble.find;
  if (services !== undefined && (!Array.isArray(services) || services.length > 16 || !services.every(isUuid))) {
    return 'manifest.ble.find.services lists UUIDs of 4 or 32 hex digits';
  }
  if (namePrefix !== undefined && (typeof namePrefix !== 'string' || namePrefix === '' || namePrefix.length > 40)) {
    return 'manifest.ble.find.namePrefix is a text of 1 to 40 characters';
  }
  if (services === undefined && namePrefix === undefined) return 'manifest.ble.find names neither services nor a name';
  if (!isObject(ble.characteristics)) return 'manifest.ble.characteristics is missing';
  const entries = Object.entries(ble.characteristics);
  if (entries.length === 0 || entries.length > MAX_CHARACTERISTICS) {
    return `manifest.ble.characteristics names 1 to ${MAX_CHARACTERISTICS}`;
  }
  for (const [name, candidate] of entries) {
    const fault = characteristicFault(name, candidate);
    if (fault !== null) return fault;
  }
  return null;
}

/** A copy with only what the contract knows. */
export function plainBle({ find, characteristics }: BleNeeds): BleNeeds {
  const { services, namePrefix } = find;
  return {
    find: {
      ...(services === undefined ? {} : { services: [...services] }),
      ...(namePrefix === undefined ? {} : { namePrefix }),
    },
    characteristics: Object.fromEntries(
      Object.entries(characteristics).map(([name, { service, uuid, use, optional }]) => [
        name,
        { service, uuid, use: [...use], ...(optional === true ? { optional } : {}) },
      ]),
    ),
  };
}
