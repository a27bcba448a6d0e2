import { describe, expect } from 'vitest';
import { withNoble } from '../support/needs-noble.ts';
import { SHED, shedNeeds, shedPlan, stageRadio } from '../support/radio-stage.ts';
import { until } from '../support/real-time.ts';

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
});
