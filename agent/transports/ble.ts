/**
 * A Bluetooth LE peripheral as a link: named characteristics in place of a stream. The radio finds and connects; what
 * the adapter needs is subscribed once that is known. Notifications cannot be held back, so a paused link keeps the
 * newest of them.
 */
import { type BleNeeds, endpoints, type OpenLink } from '#kit';
import type { BleTarget, Radio } from './ble-radio.ts';
import { guard } from './guard.ts';

export interface BleOptions {
  readonly target: BleTarget;
  readonly radio: Radio;
}

/** More than what comes in a second from a busy station. */
const MOST_HELD = 256;

export const openBle =
  ({ target, radio }: BleOptions): OpenLink =>
  unguarded => {
    const events = guard(unguarded);
    let places: readonly string[] = endpoints(undefined);
    let paused = false;
    const held: { from: string; chunk: Uint8Array }[] = [];
    const connection = radio.open(target, {
      opened: () => events.opened(),
      bytes(place, chunk) {
        const from = places[place];
        if (from === undefined) return;
        if (!paused) {
          events.bytes(chunk, from);
          return;
        }
        held.push({ from, chunk: new Uint8Array(chunk) });
        if (held.length > MOST_HELD) held.shift();
      },
      closed: (failure, detail) => events.closed(failure, detail),
    });
    const placeOf = (name: string): number => places.indexOf(name);
    return {
      pause() {
        paused = true;
      },
      resume() {
        paused = false;
        while (!paused && held.length > 0) {
          const { from, chunk } = held.shift()!;
          events.bytes(chunk, from);
        }
      },
      use(needs: BleNeeds) {
        if (Object.keys(needs.characteristics).length === 0) {
          events.closed('failed', 'this adapter names no Bluetooth characteristics: choose another adapter');
          return;
        }
        places = endpoints(needs);
        connection.use(needs);
      },
      read(from) {
        if (placeOf(from) > 0) connection.read(placeOf(from));
      },
      send(message, to) {
        if (placeOf(to) <= 0) return false;
        connection.write(placeOf(to), message);
        return true;
      },
      close() {
        events.mute();
        return connection.close();
      },
    };
  };

/** The station, as its owner told it apart. */
export const describeTarget = ({ name, service, address }: BleTarget): string =>
  [name, service === undefined ? undefined : `service ${service}`, address]
    .filter(part => part !== undefined)
    .join(', ');
