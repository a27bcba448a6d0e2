/** Serial ports that are plugged in now. The library cannot list them everywhere; that is never fatal. */

/** @returns an empty list where the system does not tell */
export async function listSerialPorts(): Promise<{ path: string; label: string }[]> {
  const { SerialPort } = await import('serialport');
  const found = await SerialPort.list().catch(() => []);
  return found.map(({ path, manufacturer, serialNumber }) => ({
    path,
    label: [path, manufacturer, serialNumber].filter(Boolean).join(' · '),
  }));
}
