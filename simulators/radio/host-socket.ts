/**
 * An HCI socket in JavaScript with the shape of the native one, connected to the soft radio; and ones that lack
 * something, as the native one tells it.
 */
import { EventEmitter } from 'node:events';
import { connect, type Socket } from 'node:net';
import { hearPackets, sendPacket } from './cut.ts';

export type Lack = 'kernel' | 'adapter' | 'permission' | 'power';

/** Asked for by the library and of no consequence here. */
const nothing = (): void => undefined;

class HciSocket extends EventEmitter {
  readonly bindUser = nothing;
  readonly setFilter = nothing;

  bindRaw(): void {
    nothing();
  }

  start(): void {
    nothing();
  }

  stop(): void {
    nothing();
  }

  isDevUp(): boolean {
    return true;
  }

  write(_packet: Buffer): void {
    nothing();
  }
}

/** The class for a radio at `path`. A radio that goes away is told as an adapter that is down. */
export const softHciSocket = (path: string): typeof HciSocket =>
  class SoftHciSocket extends HciSocket {
    #socket: Socket | null = null;

    override start(): void {
      if (this.#socket !== null) return;
      const socket = connect(path);
      this.#socket = socket;
      socket.setNoDelay(true);
      hearPackets(socket, packet => this.emit('data', Buffer.from(packet)));
      socket.on('error', () => socket.destroy());
    }

    override isDevUp(): boolean {
      return this.#socket?.destroyed === false;
    }

    override write(packet: Buffer): void {
      if (this.#socket !== null) sendPacket(this.#socket, packet);
    }

    override stop(): void {
      this.#socket?.destroy();
    }
  };

/** The class of a computer that lacks something. */
export const lacking = (lack: Lack): typeof HciSocket =>
  class LackingHciSocket extends HciSocket {
    override bindRaw(): void {
      if (lack !== 'adapter') return;
      throw Object.assign(new Error('No such device'), { code: 'ENODEV' });
    }

    override isDevUp(): boolean {
      return lack !== 'power';
    }

    override write(): void {
      if (lack !== 'permission') return;
      this.emit('error', Object.assign(new Error('Operation not permitted'), { code: 'EPERM' }));
    }
  };
