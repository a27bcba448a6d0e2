import { describe, expect } from 'vitest';
import { openBle } from '../../agent/transports/ble.ts';
import { openLogged } from '../support/link-log.ts';
import { withNoble } from '../support/needs-noble.ts';
import { SHED, shedNeeds, shedPlan, stageHost, stageRadio } from '../support/radio-stage.ts';
import { until } from '../support/real-time.ts';

const byService = { service: SHED.service };

/** Opens the shed and has it tell what it tells. */
async function subscribed() {
  const stage = await stageRadio([shedPlan()]);
  const shed = stage.peripherals[0]!;
  const log = stage.open(byService);
  await log.untilOpen();
  log.link.use!(shedNeeds);
  await until(() => shed.subscription(SHED.tells) === 'notify');
  return { stage, shed, log };
}

describe('a computer that lacks something', () => {
  const endOf = async (lack: 'kernel' | 'adapter' | 'permission' | 'power') => {
    const { host } = stageHost({ lack });
    return openLogged(openBle({ target: byService, radio: host })).untilEnd();
  };

  withNoble('without Bluetooth in its system says so, with a command to try', async () => {
    const end = await endOf('kernel');
    expect(end.failure).toBe('unsupported');
    expect(end.detail).toContain('modprobe');
  });

  withNoble('without an adapter says so, and how to look', async () => {
    const end = await endOf('adapter');
    expect(end.failure).toBe('notFound');
    expect(end.detail).toMatch(/no Bluetooth adapter.*bluetoothctl list/);
  });

  withNoble('without permission names the command that gives it', async () => {
    const end = await endOf('permission');
    expect(end.failure).toBe('permission');
    expect(end.detail).toContain(`sudo setcap cap_net_raw+eip ${process.execPath}`.slice(0, 60));
  });

  withNoble('with Bluetooth switched off says how it is switched on', async () => {
    const end = await endOf('power');
    expect(end.failure).toBe('notFound');
    expect(end.detail).toContain('bluetoothctl power on');
  });
});

describe('what a search tells', () => {
  withNoble('is that it listens, and each peripheral with its name, services and signal', async () => {
    const stage = await stageRadio([shedPlan()]);
    const told: string[] = [];
    const stop = stage.host.search({
      began: () => told.push('began'),
      heard: ({ name, services, connectable }) => told.push(`${name} ${services.length} ${connectable}`),
      failed: (_, detail) => told.push(detail),
    });
    await until(() => told.length >= 2);
    stop();
    expect(told.slice(0, 2)).toEqual(['began', 'Honey shed 1 true']);
  });
});

describe('a station that cannot be reached', () => {
  withNoble('is told as not heard, and why that may be', async () => {
    const stage = await stageRadio([shedPlan()]);
    stage.peripherals[0]!.faults.absent = true;
    const end = await stage.open(byService).untilEnd();
    expect(end.failure).toBe('notFound');
    expect(end.detail).toContain('another app');
  });

  withNoble('is told as held where it is heard and takes no connection', async () => {
    const stage = await stageRadio([shedPlan()]);
    stage.peripherals[0]!.faults.held = true;
    const end = await stage.open({ service: SHED.service }).untilEnd();
    expect(end.failure).toBe('inUse');
    expect(end.detail).toContain('another client holds it');
  });

  withNoble(
    'is given up where it vanishes between being heard and being connected, and found again later',
    async () => {
      const stage = await stageRadio([shedPlan()]);
      const shed = stage.peripherals[0]!;
      shed.faults.deaf = true;
      const end = await stage.open(byService).untilEnd();
      expect(end).toEqual({ failure: 'timeout', detail: 'no answer to connecting within 1.5 s' });
      shed.faults.deaf = false;
      await stage.open(byService).untilOpen();
    },
  );

  withNoble('that refuses is told as refusing', async () => {
    const stage = await stageRadio([shedPlan()]);
    stage.peripherals[0]!.faults.refuses = true;
    const end = await stage.open(byService).untilEnd();
    expect(end.failure).toBe('refused');
  });

  withNoble('that another station of the owner has is not taken from it', async () => {
    const stage = await stageRadio([shedPlan()]);
    const first = stage.open(byService);
    await first.untilOpen();
    const end = await stage.open(byService).untilEnd();
    // The peripheral does not advertise while it is held: it is simply not heard.
    expect(['inUse', 'notFound']).toContain(end.failure);
    expect(first.ends).toEqual([]);
  });
});

describe('a station that goes wrong while connected', () => {
  withNoble('out of reach with a read under way ends the link at once, and a new one is discovered anew', async () => {
    const { stage, shed, log } = await subscribed();
    shed.faults.silent = 'reads';
    const before = shed.asked;
    log.link.read!('state');
    await until(() => shed.asked > before);
    shed.loseLink();
    expect(await log.untilEnd()).toEqual({ failure: 'unplugged', detail: 'the station went out of reach' });
    delete shed.faults.silent;
    const again = stage.open(byService);
    await again.untilOpen();
    again.link.use!(shedNeeds);
    await until(() => shed.subscription(SHED.tells) === 'notify');
    again.link.read!('state');
    await until(() => again.text === 'fine');
    expect(stage.trouble).toEqual([]);
  });

  withNoble('out of reach in the very tick of a message ends the link and nothing else', async () => {
    const { stage, shed, log } = await subscribed();
    const pid = stage.host.pid;
    shed.onWrite = () => shed.loseLink();
    for (let i = 0; i < 5; i++) log.link.send!(Buffer.from([i]), 'asked');
    expect((await log.untilEnd()).failure).toBe('unplugged');
    await stage.open(byService).untilOpen();
    expect(stage.host.pid).toBe(pid);
  });

  withNoble('that hangs up is told as ending the connection', async () => {
    const { shed, log } = await subscribed();
    shed.loseLink(0x13);
    expect(await log.untilEnd()).toEqual({ failure: 'ended', detail: 'the station ended the connection' });
  });

  withNoble('that never answers a read is let go after a limit', async () => {
    const { shed, log } = await subscribed();
    shed.faults.silent = 'reads';
    log.link.read!('state');
    expect(await log.untilEnd()).toEqual({ failure: 'timeout', detail: 'no answer to a read within 1.5 s' });
    await until(() => !shed.isHeld);
  });

  withNoble('that refuses a read, or lacks what is read, gives no bytes, and the link stays', async () => {
    const { shed, log } = await subscribed();
    shed.faults.readError = 0x0e;
    log.link.read!('state');
    await until(() => log.values.length === 1);
    delete shed.faults.readError;
    log.link.read!('state');
    await until(() => log.values.length === 2);
    expect(log.values.map(value => value.bytes.toString())).toEqual(['', 'fine']);
  });

  withNoble('that refuses a message, or calls it invalid, is let go after a limit', async () => {
    const { shed, log } = await subscribed();
    // 0x04 stops the library's whole queue.
    shed.faults.writeError = 0x04;
    log.link.send!(Buffer.from([1]), 'asked');
    expect(await log.untilEnd()).toEqual({ failure: 'timeout', detail: 'no answer to a message within 1.5 s' });
  });

  withNoble('without a client configuration cannot be subscribed to, and says so', async () => {
    const plan = shedPlan();
    const [service] = plan.services;
    const characteristics = service!.characteristics.map(c => ({ ...c, noConfiguration: true as const }));
    const stage = await stageRadio([{ ...plan, services: [{ ...service!, characteristics }] }]);
    const log = stage.open(byService);
    await log.untilOpen();
    log.link.use!(shedNeeds);
    expect(await log.untilEnd()).toEqual({
      failure: 'timeout',
      detail: 'no answer to subscribing to tells within 1.5 s',
    });
  });

  withNoble('that lists no services in a message without any costs one process', async () => {
    const stage = await stageRadio([shedPlan()]);
    const shed = stage.peripherals[0]!;
    shed.faults.silent = 'discovery';
    const log = stage.open(byService);
    await until(() => shed.asked >= 2);
    shed.sendBroken('group');
    expect((await log.untilEnd()).detail).toContain('the radio had to be started again');
    delete shed.faults.silent;
    await stage.open(byService).untilOpen();
  });

  withNoble('that never lists its services is let go after a limit', async () => {
    const stage = await stageRadio([shedPlan()]);
    stage.peripherals[0]!.faults.silent = 'discovery';
    const end = await stage.open(byService).untilEnd();
    expect(end).toEqual({ failure: 'timeout', detail: 'no answer to listing services within 1.5 s' });
  });

  withNoble('that lacks what the adapter needs is told with the name of it', async () => {
    const stage = await stageRadio([shedPlan()]);
    const log = stage.open(byService);
    await log.untilOpen();
    const power = { service: SHED.service, uuid: '2b05', use: ['read'] as const };
    log.link.use!({ ...shedNeeds, characteristics: { ...shedNeeds.characteristics, power } });
    expect(await log.untilEnd()).toEqual({ failure: 'failed', detail: 'the station lacks power' });
  });
});

describe('a malformed packet', () => {
  for (const kind of ['notification', 'event'] as const) {
    withNoble(`(${kind}) costs one process; the next is there at once and finds the station again`, async () => {
      const { stage, shed, log } = await subscribed();
      const pid = stage.host.pid;
      const beganMs = performance.now();
      shed.sendBroken(kind);
      const end = await log.untilEnd();
      expect(end.failure).toBe('failed');
      expect(end.detail).toContain('the radio had to be started again');
      const again = stage.open(byService);
      await again.untilOpen();
      console.log(`open again after ${Math.round(performance.now() - beganMs)} ms`);
      expect(stage.host.pid).not.toBe(pid);
      expect(stage.trouble.join()).toContain("the radio's process ended");
    });
  }
});
