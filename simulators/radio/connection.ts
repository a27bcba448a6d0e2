/** One connection of a controller with a peripheral: fragments in, attribute messages to it, and back. */
import { aclPackets, createReassembly } from './packets.ts';
import type { Peripheral } from './peripheral.ts';

const ATTRIBUTES = 0x0004;

export interface ConnectionHooks {
  readonly toHost: (packet: Buffer) => void;
  readonly fragmentBytes: number;
  readonly lost: (reason: number) => void;
}

export class Connection {
  readonly #peripheral: Peripheral;
  readonly #reassemble: (packet: Buffer) => void;

  /** Holds the peripheral from now on. */
  constructor(handle: number, peripheral: Peripheral, { toHost, fragmentBytes, lost }: ConnectionHooks) {
    this.#peripheral = peripheral;
    this.#reassemble = createReassembly((cid, message) => {
      if (cid === ATTRIBUTES) peripheral.take(message);
    });
    peripheral.hold({
      handle,
      send: message => {
        for (const packet of aclPackets(handle, ATTRIBUTES, message, fragmentBytes)) toHost(packet);
      },
      sendRaw: toHost,
      lost,
    });
  }

  /** An ACL packet of the host. */
  take(packet: Buffer): void {
    this.#reassemble(packet);
  }

  /** The peripheral is free again. */
  end(): void {
    this.#peripheral.letGo();
  }
}
