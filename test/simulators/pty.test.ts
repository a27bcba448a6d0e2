import { once } from 'node:events';
import { closeSync, constants, existsSync, mkdtempSync, openSync, readSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ReadlineParser, SerialPort } from 'serialport';
import { describe, expect, onTestFinished } from 'vitest';
import { needs } from '../support/needs.ts';
import { type Simulator, startSimulator } from '../support/simulator.ts';

const it = needs('perl');

async function plugged(...args: string[]): Promise<{ simulator: Simulator; link: string }> {
  const folder = mkdtempSync(join(tmpdir(), 'shed-'));
  const link = join(folder, 'port');
  const simulator = startSimulator(['--pty', link, '--start-pct', '55', ...args]);
  onTestFinished(async () => {
    await simulator.stop();
    rmSync(folder, { recursive: true });
  });
  await simulator.ready;
  return { simulator, link };
}

/** Closes a port that may be gone already. */
const closed = (port: SerialPort) =>
  new Promise<void>(resolve => {
    port.close(() => resolve());
  });

async function opened(path: string): Promise<SerialPort> {
  const port = new SerialPort({ path, baudRate: 115_200, autoOpen: false });
  onTestFinished(() => closed(port));
  await new Promise<void>((resolve, reject) => port.open(error => (error ? reject(error) : resolve())));
  return port;
}

/** The reader's end without the library, which may miss the moment a terminal ends. */
function openEnd(link: string): number {
  const fd = openSync(link, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  onTestFinished(() => closeSync(fd));
  return fd;
}

/** Reads what is there; true where the other side is gone. */
function hungUp(fd: number): boolean {
  for (;;) {
    try {
      if (readSync(fd, new Uint8Array(4096)) === 0) return true;
    } catch (cause) {
      const { code } = cause as NodeJS.ErrnoException;
      if (code === 'EIO') return true;
      if (code === 'EAGAIN') return false;
      throw cause;
    }
  }
}

/** Lines until `wanted` says enough. */
const linesUntil = (port: SerialPort, wanted: (lines: string[]) => boolean) =>
  new Promise<string[]>(resolve => {
    const lines: string[] = [];
    const parser = port.pipe(new ReadlineParser({ delimiter: '\n' }));
    parser.on('data', (line: string) => {
      lines.push(line);
      if (wanted(lines)) {
        port.unpipe(parser);
        resolve(lines);
      }
    });
  });

const isReading = (line: string): boolean => /^\{"solarPowerW":.*"states":\{.*\}\}$/.test(line);

describe('the simulator on a pseudo-terminal', () => {
  it('is read by a real serial library at 115200 baud, whole lines only', async () => {
    const { link } = await plugged('--interval-ms', '100');
    const lines = await linesUntil(await opened(link), l => l.length === 6);
    for (const line of lines.slice(1)) expect(JSON.parse(line)).toMatchObject({ stateOfChargePct: 55 });
  });

  it('keeps to the baud rate', async () => {
    const { link } = await plugged('--interval-ms', '20', '--baud', '9600');
    const port = await opened(link);
    await once(port, 'data');
    const fromMs = performance.now();
    let bytes = 0;
    port.on('data', (chunk: Buffer) => {
      bytes += chunk.length;
    });
    while (bytes < 480) await once(port, 'data');
    // 480 bytes of ten bits at 9600 baud last half a second; the machine may be slower, never faster.
    expect(performance.now() - fromMs).toBeGreaterThan(400);
  });

  it('shows a listener nothing older than the moment it opened the port', async () => {
    const { simulator, link } = await plugged('--interval-ms', '3600000', '--baud', '0');
    await simulator.ask('half');
    const port = await opened(link);
    await simulator.ask('flood 100 0.01');
    const [line] = await linesUntil(port, l => l.length === 1);
    expect(isReading(line!)).toBe(true);
  });

  it('hangs up when unplugged and comes back under the same name', async () => {
    const { simulator, link } = await plugged('--interval-ms', '50');
    const end = openEnd(link);
    expect(hungUp(end)).toBe(false);
    await simulator.ask('unplug');
    expect(hungUp(end)).toBe(true);
    expect(existsSync(link)).toBe(false);
    await simulator.ask('replug');
    const lines = await linesUntil(await opened(link), l => l.length === 3);
    expect(isReading(lines[2]!)).toBe(true);
  });

  it('sends garbage, half frames and a burst on demand, and is in good order after', async () => {
    const { simulator, link } = await plugged('--interval-ms', '50');
    const port = await opened(link);
    const heard = linesUntil(port, l => l.length > 40 && l.slice(-3).every(isReading));
    await simulator.ask('garbage 3000');
    await simulator.ask('half');
    await simulator.ask('flood 10000 0.05');
    const lines = await heard;
    expect(lines.some(line => !isReading(line))).toBe(true);
  });

  it('falls silent and speaks again without the port closing', async () => {
    const { simulator, link } = await plugged('--interval-ms', '40');
    const port = await opened(link);
    await once(port, 'data');
    await simulator.ask('hush');
    await simulator.ask('speak');
    await once(port, 'data');
    expect(port.isOpen).toBe(true);
  });

  it('hangs up when it is killed outright', async () => {
    const { simulator, link } = await plugged();
    const end = openEnd(link);
    simulator.child.kill('SIGKILL');
    await once(simulator.child, 'exit');
    expect(hungUp(end)).toBe(true);
  });
});
