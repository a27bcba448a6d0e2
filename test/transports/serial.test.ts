import { afterEach, describe, expect, it } from 'vitest';
import { openSerial, serialFailure } from '../../agent/transports/serial.ts';
import { type LinkLog, openLogged } from '../support/link-log.ts';
import { needs } from '../support/needs.ts';
import { type PtyPort, plugPty } from '../support/pty.ts';
import { until } from '../support/real-time.ts';

const onPty = needs('socat');
const undo: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const step of undo.splice(0).reverse()) await step();
});

const open = (path: string): LinkLog => {
  const log = openLogged(openSerial({ path, baud: 115_200 }));
  undo.push(() => log.link.close());
  return log;
};
const plugged = async (): Promise<PtyPort> => {
  const port = await plugPty();
  undo.push(() => port.remove());
  return port;
};

describe('a serial port', () => {
  onPty('gives the bytes a device sends', async () => {
    const port = await plugged();
    const log = open(port.path);
    await log.untilOpen();
    port.write('{"inputPowerW":1}\n');
    await until(() => log.text.endsWith('\n'));
    expect(log.text).toBe('{"inputPowerW":1}\n');
    expect(log.ends).toEqual([]);
  });

  onPty('is unplugged when the cable is pulled, and opens again under the same name', async () => {
    const port = await plugged();
    const log = open(port.path);
    await log.untilOpen();
    await port.unplug();
    expect((await log.untilEnd()).failure).toBe('unplugged');
    await log.link.close();
    const missing = open(port.path);
    expect((await missing.untilEnd()).failure).toBe('notFound');
    await port.plug();
    const again = open(port.path);
    await again.untilOpen();
    port.write('back\n');
    await until(() => again.text === 'back\n');
  });

  onPty('ends at every unplugging, also those that fall into the middle of a read', async () => {
    for (let i = 0; i < 40; i++) {
      const port = await plugged();
      const log = open(port.path);
      await log.untilOpen();
      port.write('x'.repeat(50 * (i % 3)));
      await port.unplug();
      expect((await log.untilEnd()).failure).toBe('unplugged');
    }
  });

  onPty('is in use when something else has it open', async () => {
    const port = await plugged();
    const first = open(port.path);
    await first.untilOpen();
    const second = open(port.path);
    expect((await second.untilEnd()).failure).toBe('inUse');
    expect(second.opened).toBe(0);
    await second.link.close();
    await first.link.close();
    const third = open(port.path);
    await third.untilOpen();
  });

  onPty('holds the bytes back while paused and gives them all afterwards', async () => {
    const port = await plugged();
    const log = open(port.path);
    await log.untilOpen();
    log.link.pause();
    port.write('x'.repeat(3000));
    await new Promise(resolve => setTimeout(resolve, 50));
    expect(log.bytes).toBe(0);
    log.link.resume();
    await until(() => log.bytes === 3000);
  });

  onPty('says nothing more once the agent closed it, even while it is being opened', async () => {
    const port = await plugged();
    const log = open(port.path);
    await log.link.close();
    await log.link.close();
    port.write('late\n');
    const next = open(port.path);
    await next.untilOpen();
    expect(log).toMatchObject({ opened: 0, bytes: 0, ends: [] });
  });

  it('is not found where there is no such port', async () => {
    const log = open('/dev/no-such-port');
    expect((await log.untilEnd()).failure).toBe('notFound');
  });

  it('is unsupported, once and in words, where the library cannot be loaded', async () => {
    const load = () => Promise.reject(new Error('no build for this computer'));
    const log = openLogged(openSerial({ path: '/dev/x', baud: 9600, load }));
    expect(await log.untilEnd()).toMatchObject({ failure: 'unsupported', detail: expect.stringContaining('no build') });
    await log.link.close();
  });

  it.each([
    ['Error: Error Resource temporarily unavailable Cannot lock port', 'linux', 'inUse'],
    ['Error: Permission denied, cannot open /dev/ttyUSB0', 'linux', 'permission'],
    ['Error: No such file or directory, cannot open /dev/ttyUSB0', 'linux', 'notFound'],
    ['Opening COM3: Access denied', 'win32', 'inUse'],
    ['Opening COM3: File not found', 'win32', 'notFound'],
    ['Error: something else', 'linux', 'failed'],
  ] as const)('reads the words of the library: %s on %s is %s', (words, platform, failure) => {
    expect(serialFailure(words, platform)).toBe(failure);
  });
});
