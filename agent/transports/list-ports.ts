/** Serial ports that are plugged in now. The library cannot list them everywhere; that is a value, not a failure. */

export interface PortList {
  ports: { path: string; label: string }[];
  /** Why the system does not tell, or null. Ports can still be named by hand. */
  trouble: string | null;
}

export async function listSerialPorts(): Promise<PortList> {
  const { SerialPort } = await import('serialport');
  try {
    const found = await SerialPort.list();
    const label = (parts: readonly (string | undefined)[]) => parts.filter(part => part !== undefined).join(' · ');
    const ports = found.map(({ path, manufacturer, serialNumber }) => ({
      path,
      label: label([path, manufacturer, serialNumber]),
    }));
    return { ports, trouble: null };
  } catch (cause) {
    return { ports: [], trouble: cause instanceof Error ? cause.message : String(cause) };
  }
}
