/**
 * Serial adapters as a system names them: a plain name in the order of plugging in, and a link that follows the device
 * (`by-id`). Each stands on a pseudo-terminal of its own; replugged in another order, the plain names change hands.
 */
import { mkdirSync, mkdtempSync, realpathSync, rmSync, symlinkSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type PtyPort, plugPty } from './pty.ts';

export interface PortFarm {
  /** The folder of links that follow a device. */
  readonly byId: string;
  /** The nth plain name, from 0. */
  plain(n: number): string;
  stable(device: string): string;
  write(device: string, text: string): void;
  /** Pulls all cables. */
  unplug(): Promise<void>;
  /** Plugs them in, in this order. */
  plug(order: readonly string[]): Promise<void>;
  remove(): Promise<void>;
}

/** Needs socat. Nothing is plugged in at first. */
export async function portFarm(devices: readonly string[]): Promise<PortFarm> {
  const folder = mkdtempSync(join(tmpdir(), 'farm-'));
  const byId = join(folder, 'serial', 'by-id');
  mkdirSync(byId, { recursive: true });
  const ports = new Map<string, PtyPort>();
  const plain = (n: number) => join(folder, `ttyUSB${n}`);
  const stable = (device: string) => join(byId, `usb-${device}-port0`);
  const unlink = () => {
    for (const [n, device] of devices.entries())
      for (const link of [plain(n), stable(device)]) rmSync(link, { force: true });
  };
  for (const device of devices) {
    const port = await plugPty();
    await port.unplug();
    ports.set(device, port);
  }
  return {
    byId,
    plain,
    stable,
    write: (device, text) => ports.get(device)!.write(text),
    async unplug() {
      unlink();
      for (const port of ports.values()) await port.unplug();
    },
    async plug(order) {
      for (const [n, device] of order.entries()) {
        const port = ports.get(device)!;
        await port.plug();
        const terminal = realpathSync(port.path);
        symlinkSync(terminal, plain(n));
        symlinkSync(terminal, stable(device));
      }
    },
    async remove() {
      unlink();
      for (const port of ports.values()) await port.remove();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
