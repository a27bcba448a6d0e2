/** Which of the peripherals heard is the one that is meant, and, where none is, why not. */
import type { Timers } from '#kit';
import type { BleTarget } from '../transports/ble-radio.ts';
import type { Peripheral } from './radio-library.ts';
import type { RadioLimits } from './radio-limits.ts';
import type { Scan } from './radio-scan.ts';
import { HELD, notHeard, type RadioFailure, TAKEN } from './radio-words.ts';

/** 4 or 32 digits, lower case; the library leaves out leading zeros, and the long form of an assigned number is short. */
export function plainUuid(uuid: string): string {
  const digits = uuid.toLowerCase().replaceAll('-', '');
  const assigned = /^0000([0-9a-f]{4})00001000800000805f9b34fb$/.exec(digits);
  if (assigned !== null) return assigned[1]!;
  return digits.length <= 4 ? digits.padStart(4, '0') : digits.padStart(32, '0');
}

const plainId = (id: string): string => id.toLowerCase().replaceAll(/[^0-9a-f]/g, '');

/** Everything the owner told must fit. */
export function isMeant({ advertisement, id }: Peripheral, { name, service, address }: BleTarget): boolean {
  const services = (advertisement.serviceUuids ?? []).map(plainUuid);
  return (
    (address === undefined || plainId(id) === plainId(address)) &&
    (name === undefined || advertisement.localName === name) &&
    (service === undefined || services.includes(plainUuid(service)))
  );
}

export interface Finding {
  /** Null once ended by `cancel`. */
  readonly found: Promise<Peripheral | RadioFailure | null>;
  cancel(): void;
}

/** @param isTaken whether another link of this process has it */
export function find(
  target: BleTarget,
  isTaken: (id: string) => boolean,
  { scan, timers, limits }: { readonly scan: Scan; readonly timers: Timers; readonly limits: RadioLimits },
): Finding {
  let cancel: () => void = () => undefined;
  const found = new Promise<Peripheral | RadioFailure | null>(resolve => {
    let nearest = notHeard(limits.findMs);
    const settle = (answer: Peripheral | RadioFailure | null): void => {
      stopListening();
      stopWaiting();
      resolve(answer);
    };
    const stopListening = scan.listen(peripheral => {
      if (!isMeant(peripheral, target)) return;
      if (isTaken(peripheral.id)) nearest = TAKEN;
      else if (!peripheral.connectable) nearest = HELD;
      else settle(peripheral);
    });
    const stopWaiting = timers.after(limits.findMs, () => settle(nearest));
    cancel = () => settle(null);
  });
  return { found, cancel: () => cancel() };
}
