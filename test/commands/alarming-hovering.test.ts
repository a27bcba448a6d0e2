/** Causes that hover at their limits or come by fits and starts: each is called, and called once. */
import { describe, expect, it } from 'vitest';
import type { WireReading } from '#messages';
import { type AlarmingStage, stageAlarming } from '../support/alarming-stage.ts';

const LOOK_MS = 2_000;
const MINUTE = 60_000;

function stage(over: Parameters<typeof stageAlarming>[0] = {}) {
  const s = stageAlarming(over);
  s.begin();
  return s;
}

/** A reading before each look. @param at the n-th */
function hover(s: AlarmingStage, minutes: number, at: (n: number) => Partial<WireReading>) {
  for (let n = 0; n < (minutes * MINUTE) / LOOK_MS; n++) {
    s.hearReading(at(n));
    s.alarming.look();
    s.pass(LOOK_MS);
  }
}

describe('what hovers', () => {
  it('volts at 95 % of their limit are called once', () => {
    const s = stage({ solarPort: [{ maxV: 100 }] });
    hover(s, 60, n => ({ quantities: { 'solarVoltageV.1': n % 2 === 0 ? 95.1 : 94.9 } }));
    expect(s.calls().map(({ kind }) => kind)).toEqual(['overVolts']);
    expect(s.standing()).toEqual(['overVolts']);
  });

  it('volts that touch the limit once in a while, well below it otherwise, call nobody', () => {
    const s = stage({ solarPort: [{ maxV: 100 }] });
    hover(s, 60, n => ({ quantities: { 'solarVoltageV.1': n % 10 === 0 ? 95.1 : 90 } }));
    expect(s.calls()).toEqual([]);
  });

  it('a charge in the cold whose tracker looks about every half minute is called once', () => {
    const s = stage();
    hover(s, 60, n => ({
      quantities: { batteryTempC: -4, inputPowerW: n % 15 === 0 ? 0 : 90, outputPowerW: 5 },
    }));
    expect(s.calls().map(({ kind }) => kind)).toEqual(['cold']);
  });

  it('a temperature that wavers about the limit is called once', () => {
    const s = stage();
    hover(s, 120, n => ({ quantities: { batteryTempC: 2 + Math.sin(n) * 1.9, inputPowerW: 90, outputPowerW: 5 } }));
    expect(s.calls().map(({ kind }) => kind)).toEqual(['cold']);
  });

  it('a charge in the cold is not over because its temperature is not told for a while', () => {
    const s = stage();
    const charged = { inputPowerW: 90, outputPowerW: 5 };
    hover(s, 2, () => ({ quantities: { batteryTempC: -4, ...charged } }));
    hover(s, 20, () => ({ quantities: { batteryTempC: null, ...charged }, reasons: { batteryTempC: 'notReported' } }));
    expect(s.states()).toEqual(['cold active']);
    hover(s, 6, () => ({ quantities: { batteryTempC: null, inputPowerW: 0, outputPowerW: 5 } }));
    expect(s.states()).toEqual(['cold cleared']);
  });

  it('a fault that is told in every third reading is called once', () => {
    const s = stage();
    hover(s, 60, n => ({ states: n % 3 === 0 ? { fault: 'overload' } : {} }));
    expect(s.calls().map(({ kind }) => kind)).toEqual(['fault']);
  });

  it('a fault whose words hold a figure that changes is called once, and is over once none is told', () => {
    const s = stage();
    hover(s, 60, n => ({ states: { fault: `overload ${1300 + n} W` } }));
    expect(s.calls().map(({ kind }) => kind)).toEqual(['fault']);
    expect(s.states()).toEqual(['fault active']);
    hover(s, 2, () => ({}));
    expect(s.states()).toEqual(['fault cleared']);
  });

  it('two faults that take turns are called, and one that comes to stay calls for itself', () => {
    const s = stage();
    hover(s, 30, n => ({ states: { fault: n % 2 === 0 ? 'E03' : 'E07' } }));
    expect(s.calls().length).toBeGreaterThan(0);
    expect(s.calls().length).toBeLessThanOrEqual(2);
    hover(s, 2, () => ({ states: { fault: 'E11' } }));
    expect(s.calls().at(-1)!.values).toEqual({ fault: 'E11' });
  });
});

describe('many calls within minutes', () => {
  it('keep nothing back that cannot wait', () => {
    const s = stage({ solarPort: [{ maxV: 100 }] });
    const quiet = (n: number) => [
      { name: `Fan ${n}`, powerW: 20, sinceAt: new Date(s.now() - 90 * MINUTE).toISOString() },
    ];
    for (let n = 0; n < 6; n++) s.live(0.5, () => 500, { quiet: quiet(n) });
    expect(s.calls()).toHaveLength(5);
    hover(s, 0.5, () => ({ quantities: { 'solarVoltageV.1': 99 } }));
    expect(s.calls().at(-1)).toMatchObject({ kind: 'overVolts' });
  });
});
