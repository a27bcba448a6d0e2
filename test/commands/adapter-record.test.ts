import { describe, expect } from 'vitest';
import { recordBle } from '../../agent/commands/adapter-record.ts';
import { withNoble } from '../support/needs-noble.ts';
import { SHED, shedPlan, stageRadio } from '../support/radio-stage.ts';
import { until } from '../support/real-time.ts';

describe('a capture of a Bluetooth station without an adapter', () => {
  withNoble('holds its tree, each value that can be read, and all it tells, by UUID', async () => {
    const stage = await stageRadio([shedPlan()]);
    const shed = stage.peripherals[0]!;
    const taken: [way: string, place: string, text: string][] = [];
    const notes: object[] = [];
    let end: () => void = () => undefined;
    const over = new Promise<void>(resolve => {
      end = resolve;
    });
    const begun: number[] = [];
    const recording = recordBle({
      transport: { kind: 'ble', name: 'Honey shed' },
      radio: stage.host,
      take: (way, place, bytes) => taken.push([way, place, Buffer.from(bytes).toString()]),
      note: value => notes.push(value),
      ending: { over, begin: () => void begun.push(1) },
      ...{ dist: '', out: '', seconds: null, adapter: null, settings: undefined, send: [], everyMs: 1000 },
      ...{ json: false, quiet: true },
    });
    await until(() => shed.subscription(SHED.tells) === 'notify');
    shed.tell(SHED.tells, Buffer.from('81 %'));
    await until(() => taken.length >= 2);
    end();
    expect(await recording).toBeNull();
    expect(taken.toSorted()).toEqual([
      ['in', SHED.tells, '81 %'],
      ['in', SHED.state, 'fine'],
    ]);
    expect(begun).toHaveLength(1);
    expect(notes).toMatchObject([
      { name: 'Honey shed', services: [{ uuid: SHED.service, characteristics: [{ uuid: SHED.tells }, {}, {}] }] },
    ]);
  });
});
