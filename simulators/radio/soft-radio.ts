/**
 * Peripherals in the air and, for every host that connects to its socket, a controller that hears them. A host's
 * process is given hook.ts, which puts its HCI socket here.
 */
import { createServer, type Socket } from 'node:net';
import { Controller } from './controller.ts';
import { hearPackets, sendPacket } from './cut.ts';
import { Peripheral, type PeripheralPlan } from './peripheral.ts';

export interface SoftRadio {
  readonly peripherals: readonly Peripheral[];
  /** Takes connections on a Unix socket (or a named pipe); rejects where it cannot. */
  listen(path: string): Promise<void>;
  /** Hosts connected now. */
  hosts(): number;
  close(): Promise<void>;
}

const ADVERTISE_EVERY_MS = 50;

export function createSoftRadio(plans: readonly PeripheralPlan[], advertiseEveryMs = ADVERTISE_EVERY_MS): SoftRadio {
  const peripherals = plans.map(plan => new Peripheral(plan));
  const sockets = new Set<Socket>();
  const air = {
    peripherals,
    advertiseEveryMs,
    after(delayMs: number, run: () => void) {
      const timer = setTimeout(run, delayMs);
      return () => clearTimeout(timer);
    },
  };
  const server = createServer(socket => {
    sockets.add(socket);
    socket.setNoDelay(true);
    const controller = new Controller(air, packet => sendPacket(socket, packet));
    hearPackets(socket, packet => controller.take(packet));
    socket.on('error', () => socket.destroy());
    socket.on('close', () => {
      sockets.delete(socket);
      controller.close();
    });
  });
  return {
    peripherals,
    hosts: () => sockets.size,
    listen: path =>
      new Promise((resolve, reject) => {
        server.once('error', reject).listen(path, () => resolve());
      }),
    close: () =>
      new Promise(resolve => {
        for (const socket of sockets) socket.destroy();
        server.close(() => resolve());
      }),
  };
}
