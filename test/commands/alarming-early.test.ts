/** Alarms before anything was learned, after a restart, and of stations that speak seldom. */
import { describe, expect, it } from 'vitest';
import type { WireReading } from '#messages';
import { stageAlarming } from '../support/alarming-stage.ts';
import { shedReading } from '../support/honey-shed.ts';

const MINUTE = 60_000;
const iso = (ms: number) => new Date(ms).toISOString();

describe('a station of which nothing was learned yet', () => {
  const left = (s: ReturnType<typeof stageAlarming>, minutes: number) => {
    const at = iso(s.now() + minutes * MINUTE);
    return { why: 'noHistory' as const, toward: 'none' as const, byLabel: { p10: at, p50: at, p90: at } };
  };

  it('is called for by its label where that leaves half an hour at the least', () => {
    const s = stageAlarming();
    s.begin();
    s.live(2, () => null, left(s, 90));
    expect(s.calls()).toEqual([]);
    const by = left(s, 25);
    s.live(2, () => null, by);
    expect(s.list()).toMatchObject([
      { kind: 'ending', state: 'active', values: { atLeastAt: by.byLabel.p10, by: 'label', floorPct: 10 } },
    ]);
    s.live(2, () => null, { ...left(s, 5), onMains: true });
    expect(s.states()).toEqual(['ending cleared']);
  });
});

describe('a restart while a station is silent', () => {
  const lastly =
    (ageMs: number, outputPowerW: number) =>
    (s: { now(): number }): WireReading =>
      shedReading({ at: iso(s.now() - ageMs), quantities: { outputPowerW, stateOfChargePct: 50 } });

  it('does not forget that something was drawing, and gives it ten minutes to be read again', () => {
    const s = stageAlarming({}, lastly(40 * MINUTE, 42));
    s.say({ status: { phase: 'retrying' } });
    s.go(9, () => undefined);
    expect(s.calls()).toEqual([]);
    s.go(2, () => undefined);
    expect(s.list()).toMatchObject([
      { kind: 'silent', values: { powerW: 42, lastAt: iso(s.now() - 11 * MINUTE - 40 * MINUTE) } },
    ]);
  });

  it('raises nothing from values of before, and nothing for what drew nothing or is long ago', () => {
    const fault = (s: { now(): number }) => ({ ...lastly(MINUTE, 42)(s), states: { fault: 'overload' } });
    for (const last of [lastly(40 * MINUTE, 0), lastly(25 * 60 * MINUTE, 42)]) {
      const s = stageAlarming({}, last);
      s.say({ status: { phase: 'retrying' } });
      s.go(30, () => undefined);
      expect(s.calls()).toEqual([]);
    }
    const s = stageAlarming({}, fault);
    s.go(5, () => undefined);
    expect(s.calls()).toEqual([]);
  });
});

describe('a station that speaks every quarter of an hour', () => {
  it('is missed only once it is later than that', () => {
    const s = stageAlarming();
    s.say({ status: { staleAfterMs: 38 * MINUTE } });
    for (let n = 0; n < 8; n++) {
      s.hearReading({ quantities: { outputPowerW: 41, stateOfChargePct: 52 } });
      s.go(15, () => undefined);
    }
    expect(s.calls()).toEqual([]);
    s.go(24, () => undefined);
    expect(s.standing()).toEqual(['silent']);
  });
});

describe('two ports', () => {
  it('are told apart by number and name', () => {
    const s = stageAlarming({ solarPort: [{ maxV: 60, name: 'South wall' }, { maxV: 150 }] });
    s.begin();
    s.read(1, { 'solarVoltageV.1': 58, 'solarVoltageV.2': 148 });
    expect(s.list().map(({ values }) => [values.port, values.portName])).toEqual([
      [1, 'South wall'],
      [2, null],
    ]);
  });
});
