import { describe, expect } from 'vitest';
import { createRadioHost } from '../../agent/host/radio-host.ts';
import { openBle } from '../../agent/transports/ble.ts';
import { bundle } from '../support/child.ts';
import { openLogged } from '../support/link-log.ts';
import { withNoble } from '../support/needs-noble.ts';
import { hookUrl, SHED, shedNeeds, shedPlan, stageRadio } from '../support/radio-stage.ts';
import { realClock, realTimers, until } from '../support/real-time.ts';

const byService = { service: SHED.service };

describe('a Bluetooth link over the real library', () => {
  withNoble('finds a station by a service, subscribes, reads and writes', async () => {
    const stage = await stageRadio([shedPlan()]);
    const shed = stage.peripherals[0]!;
    const log = stage.open({ service: SHED.service });
    await log.untilOpen();
    log.link.use!(shedNeeds);
    await until(() => shed.subscription(SHED.tells) === 'notify');
    shed.tell(SHED.tells, Buffer.from('hello'));
    await until(() => log.values.length === 1);
    expect(log.values[0]).toEqual({ from: 'tells', bytes: Buffer.from('hello') });
    log.link.read!('state');
    await until(() => log.values.length === 2);
    expect(log.values[1]).toEqual({ from: 'state', bytes: Buffer.from('fine') });
    expect(log.link.send!(Buffer.from([1, 2, 3]), 'asked')).toBe(true);
    await until(() => shed.written.length === 1);
    expect(shed.written[0]).toEqual({ characteristic: SHED.asked, bytes: Buffer.from([1, 2, 3]) });
    await log.link.close();
    await until(() => !shed.isHeld);
    expect(log.ends).toEqual([]);
  });

  withNoble('asked for while the radio is just being let go gets a new one', async () => {
    const stage = await stageRadio([shedPlan()]);
    const shed = stage.peripherals[0]!;
    // Nobody needs the radio after this link: it rests at once instead of after ten seconds.
    const host = createRadioHost({
      entryPath: bundle('agent/host/radio-child.ts'),
      execArgv: ['--import', hookUrl({ radio: stage.socket })],
      clock: realClock,
      timers: { after: (delayMs, run) => realTimers.after(delayMs === 10_000 ? 1 : delayMs, run) },
      environment: process.env,
      onTrouble: () => undefined,
    });
    const first = openLogged(openBle({ target: byService, radio: host }));
    await first.untilOpen();
    const { pid } = host;
    await first.link.close();
    await new Promise(resolve => setTimeout(resolve, 3));
    const second = openLogged(openBle({ target: byService, radio: host }));
    await second.untilOpen();
    expect(second.ends).toEqual([]);
    expect(host.pid).not.toBe(pid);
    await host.close();
    await until(() => !shed.isHeld);
  });

  withNoble('hears no more than it can tell of a peripheral with hundreds of characteristics', async () => {
    const services = Array.from({ length: 6 }, (_, s) => ({
      uuid: `6b1f00a00000400080000000aabb${(0x1000 + s).toString(16)}`,
      characteristics: Array.from({ length: 100 }, (_, c) => ({
        uuid: `6b1f00a0000040008000${(0x1000 + s).toString(16)}aabb${(0x1000 + c).toString(16)}`,
        can: ['read' as const],
      })),
    }));
    const stage = await stageRadio([shedPlan({ services })], { discoverMs: 20_000 });
    const log = stage.open({ name: 'Honey shed' });
    await log.untilOpen();
    expect(log.ends).toEqual([]);
    expect(stage.trouble).toEqual([]);
  });
});
