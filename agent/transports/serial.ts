/**
 * A serial port through the `serialport` library, loaded when the first port is opened: where it cannot be loaded
 * everything else works. Control lines are never set or read: the system raises them on opening, and a virtual port
 * refuses them.
 */
import { basename, dirname } from 'node:path';
import type { LinkEvents, LinkFailure, OpenLink } from '#kit';
import { guard } from './guard.ts';
import { endOnHangUp } from './hang-up.ts';
import { BY_ID, leadsTo, stableNames } from './stable-name.ts';

type SerialPortClass = typeof import('serialport').SerialPort;
type Port = InstanceType<SerialPortClass>;

/** The library's binding as far as it matters here: its types differ by system. */
interface Binding {
  open(wanted: never): Promise<object>;
}

export interface SerialOptions {
  readonly path: string;
  readonly baud: number;
  /** Where the system links each port under what its device says it is. Default: that of Linux. */
  readonly byId?: string;
  /** How the library is loaded. Default: import('serialport'). */
  readonly load?: () => Promise<{ SerialPort: SerialPortClass }>;
}

/** The library tells causes by words only. `win32` words differ: there a taken port is "Access denied". */
export function serialFailure(message: string, platform: string): LinkFailure {
  if (/cannot lock port|resource busy|EBUSY/i.test(message)) return 'inUse';
  if (/access denied/i.test(message)) return platform === 'win32' ? 'inUse' : 'permission';
  if (/permission denied|EACCES|EPERM/i.test(message)) return 'permission';
  if (/no such file|file not found|no such device|ENOENT|ENODEV|ENXIO/i.test(message)) return 'notFound';
  return 'failed';
}

/** A port of the library, not opened yet, whose reading ends when the cable is pulled. */
function createPort(SerialPort: SerialPortClass, path: string, baud: number): Port {
  const binding: Binding = SerialPort.binding;
  const mended = { ...binding, open: async (wanted: never) => endOnHangUp(await binding.open(wanted)) };
  // The library takes a binding here, though its types leave it out.
  const asked = { path, baudRate: baud, autoOpen: false, binding: mended };
  return new SerialPort(asked);
}

/** Wires a port to `events` and opens it; resolves when that worked or failed. */
function openPort(port: Port, events: LinkEvents): Promise<void> {
  port.on('data', (chunk: Buffer) => events.bytes(chunk));
  port.on('error', cause => events.closed(serialFailure(cause.message, process.platform), cause.message));
  port.on('close', (cause: (Error & { disconnected?: boolean }) | null) => {
    const unplugged = cause === null || cause === undefined || cause.disconnected === true;
    if (unplugged) events.closed('unplugged', 'the device went away');
    else events.closed('failed', cause.message);
  });
  return new Promise(resolve => {
    port.open(cause => {
      if (cause === null) events.opened();
      else events.closed(serialFailure(cause.message, process.platform), cause.message);
      resolve();
    });
  });
}

/**
 * A port's name may lead to another device after a replug: from one opening to the next the device is followed that it
 * led to first, and one that stands in its place is not read for it. What says nothing of itself is not told apart.
 */
function follower(path: string, byId: string) {
  let first: string | null = null;
  return (): { open: string } | { other: string } => {
    // Somebody chose a name that the system itself keeps.
    if (path.startsWith(`${dirname(byId)}/`)) return { open: path };
    const now = stableNames(byId)(path);
    first ??= now;
    if (first === null || first === now) return { open: path };
    if (leadsTo(first) !== null) return { open: first };
    if (leadsTo(path) === null) return { open: path };
    const leads = now === null ? 'another device' : basename(now);
    return {
      other: `${path} leads to ${leads} now, before to ${basename(first)}; if that is meant, name it in Setup`,
    };
  };
}

export function openSerial(options: SerialOptions): OpenLink {
  const { path, baud, byId = BY_ID } = options;
  const follow = follower(path, byId);
  return unguarded => {
    const events = guard(unguarded);
    const load = options.load ?? (() => import('serialport'));
    let port: Port | null = null;
    let paused = false;
    const opening = load()
      .then(
        ({ SerialPort }) => {
          if (events.over) return;
          const found = follow();
          if ('other' in found) {
            events.closed('notFound', found.other);
            return;
          }
          port = createPort(SerialPort, found.open, baud);
          const settled = openPort(port, events);
          if (paused) port.pause();
          return settled;
        },
        (cause: unknown) => events.closed('unsupported', `serial ports cannot be used here: ${String(cause)}`),
      )
      .catch((cause: unknown) => events.closed('failed', String(cause)));
    return {
      pause() {
        paused = true;
        port?.pause();
      },
      resume() {
        paused = false;
        port?.resume();
      },
      send(message) {
        if (!port?.isOpen) return false;
        // The library keeps what it is given until it is written; the caller's bytes are only lent.
        port.write(Buffer.from(message));
        return true;
      },
      async close() {
        events.mute();
        await opening;
        // A port that vanished is closed already; an error of closing changes nothing for us.
        if (port?.isOpen) await new Promise<void>(resolve => port?.close(() => resolve()));
      },
    };
  };
}
