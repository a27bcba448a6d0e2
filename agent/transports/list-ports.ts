/**
 * Serial ports that are plugged in now, each under the name that stays its own where the system keeps one: a plain
 * name is given out in the order of plugging in. The library cannot list them everywhere; that is a value, not a failure.
 */
import { BY_ID, stableNames } from './stable-name.ts';

export interface PortList {
  ports: { path: string; label: string }[];
  /** Why the system does not tell, or null. Ports can still be named by hand. */
  trouble: string | null;
}

/** What of a port of the library is told. */
interface Found {
  path: string;
  manufacturer?: string | undefined;
  serialNumber?: string | undefined;
}

export interface ListOptions {
  /** What the library finds. Default: `SerialPort.list` of serialport. */
  readonly list?: () => Promise<readonly Found[]>;
  /** Where the system links each port under what its device says it is. Default: that of Linux. */
  readonly byId?: string;
}

const listed = async () => (await import('serialport')).SerialPort.list();

export async function listSerialPorts({ list = listed, byId = BY_ID }: ListOptions = {}): Promise<PortList> {
  try {
    const found = await list();
    const stable = stableNames(byId);
    const label = (parts: readonly (string | undefined)[]) => parts.filter(part => part !== undefined).join(' · ');
    const ports = found.map(({ path, manufacturer, serialNumber }) => ({
      path: stable(path) ?? path,
      label: label([path, manufacturer, serialNumber]),
    }));
    return { ports, trouble: null };
  } catch (cause) {
    return { ports: [], trouble: cause instanceof Error ? cause.message : String(cause) };
  }
}
