import { afterEach, describe, expect, it } from 'vitest';
import { listSerialPorts } from '../../agent/transports/list-ports.ts';
import { openSerial } from '../../agent/transports/serial.ts';
import { type LinkLog, openLogged } from '../support/link-log.ts';
import { needs } from '../support/needs.ts';
import { type PortFarm, portFarm } from '../support/port-farm.ts';
import { until } from '../support/real-time.ts';

const onPty = needs('socat');
const undo: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const step of undo.splice(0).reverse()) await step();
});

const farm = async (): Promise<PortFarm> => {
  const made = await portFarm(['shed', 'yard']);
  undo.push(() => made.remove());
  await made.plug(['shed', 'yard']);
  return made;
};
const open = async (path: string): Promise<LinkLog> => {
  const log = openLogged(openSerial({ path, baud: 9600 }));
  undo.push(() => log.link.close());
  await log.untilOpen();
  return log;
};
const hears = async (log: LinkLog, farmed: PortFarm): Promise<string> => {
  for (const device of ['shed', 'yard']) farmed.write(device, `${device}\n`);
  await until(() => log.text.endsWith('\n'));
  return log.text;
};

describe('a cable that comes back in another order', () => {
  onPty(
    'is read from the same station by its stable name; a plain name leads to whatever stands there now',
    async () => {
      const ports = await farm();
      const [first, plain] = [await open(ports.stable('shed')), ports.plain(0)];
      expect(await hears(first, ports)).toBe('shed\n');
      await ports.unplug();
      expect((await first.untilEnd()).failure).toBe('unplugged');
      await first.link.close();
      const away = openLogged(openSerial({ path: ports.stable('shed'), baud: 9600 }));
      expect((await away.untilEnd()).failure).toBe('notFound');
      await ports.plug(['yard', 'shed']);
      const again = await open(ports.stable('shed'));
      expect(await hears(again, ports)).toBe('shed\n');
      await again.link.close();
      expect(await hears(await open(plain), ports)).toBe('yard\n');
    },
  );

  onPty('is followed by a running agent that was told the plain name only', async () => {
    const ports = await farm();
    const openLink = openSerial({ path: ports.plain(0), baud: 9600, byId: ports.byId });
    const again = async () => {
      const log = openLogged(openLink);
      undo.push(() => log.link.close());
      await log.untilOpen();
      const said = await hears(log, ports);
      await ports.unplug();
      await log.untilEnd();
      await log.link.close();
      return said;
    };
    expect(await again()).toBe('shed\n');
    await ports.plug(['yard', 'shed']);
    expect(await again()).toBe('shed\n');
    await ports.plug(['shed', 'yard']);
    expect(await again()).toBe('shed\n');
  });

  onPty('is not taken for the one before while that is away: said in words, until the owner names it', async () => {
    const ports = await farm();
    const openLink = openSerial({ path: ports.plain(0), baud: 9600, byId: ports.byId });
    const first = openLogged(openLink);
    await first.untilOpen();
    await ports.unplug();
    await first.link.close();
    const end = async () => {
      const log = openLogged(openLink);
      const ended = await log.untilEnd();
      await log.link.close();
      return { ...ended, opened: log.opened };
    };
    expect(await end()).toMatchObject({ failure: 'notFound', opened: 0 });
    await ports.plug(['yard']);
    expect(await end()).toEqual({
      failure: 'notFound',
      detail: `${ports.plain(0)} leads to usb-yard-port0 now, before to usb-shed-port0; if that is meant, name it in Setup`,
      opened: 0,
    });
    expect(await hears(await open(ports.stable('yard')), ports)).toBe('yard\n');
  });

  onPty('is offered under its stable name, with the plain one beside it', async () => {
    const ports = await farm();
    const found = () =>
      Promise.resolve([{ path: ports.plain(0), manufacturer: 'Hive works' }, { path: ports.plain(1) }]);
    const offered = async () => (await listSerialPorts({ list: found, byId: ports.byId })).ports;
    expect(await offered()).toEqual([
      { path: ports.stable('shed'), label: `${ports.plain(0)} · Hive works` },
      { path: ports.stable('yard'), label: ports.plain(1) },
    ]);
    await ports.unplug();
    await ports.plug(['yard', 'shed']);
    expect((await offered()).map(({ path }) => path)).toEqual([ports.stable('yard'), ports.stable('shed')]);
  });

  it('is offered under its plain name where the system keeps no other', async () => {
    const list = () => Promise.resolve([{ path: 'COM3', serialNumber: '7' }]);
    expect(await listSerialPorts({ list, byId: '/no/such/folder' })).toEqual({
      ports: [{ path: 'COM3', label: 'COM3 · 7' }],
      trouble: null,
    });
  });
});
