import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { isRejection, manifestFault } from '#kit';
import { bleBattery } from '../../protocol-adapters/ble-battery/index.ts';
import {
  currentValue,
  energyStatusValue,
  levelStatusValue,
  medfloat16,
  powerValue,
  timeStatusValue,
  voltageValue,
} from '../../simulators/radio/battery.ts';

const session = bleBattery.open();
const hex = (text: string) => Uint8Array.from(Buffer.from(text.replaceAll(' ', ''), 'hex'));

const says = (from: string, value: Uint8Array) => {
  const answer = session.decode(value, from);
  if (isRejection(answer)) throw new Error(`${answer.rejected}: ${answer.detail}`);
  return answer;
};

/** Steps one round of the talk with these values; what is not named answers with no bytes. */
function round(values: Record<string, Uint8Array>) {
  const fresh = bleBattery.open();
  const talk = fresh.talk!();
  const asked: string[] = [];
  const given: { quantities: object; states: object }[] = [];
  let next = talk.next({ done: true });
  while (next.done !== true && next.value.step !== 'rest') {
    const step = next.value;
    if (step.step === 'read') {
      asked.push(step.from);
      next = talk.next({ frame: values[step.from] ?? new Uint8Array() });
    } else {
      if (step.step === 'give' && !('rejected' in step.answer)) given.push(step.answer);
      next = talk.next({ done: true });
    }
  }
  return { asked, given, talk, fresh };
}

describe('the adapter of the Bluetooth battery service', () => {
  it('has a manifest that the kit accepts, and sends nothing', () => {
    expect(manifestFault({ ...bleBattery.manifest })).toBeNull();
    expect(bleBattery.manifest.requests).toBeUndefined();
  });

  it('reads a level, and refuses one above 100 %', () => {
    expect(says('level', hex('47')).quantities).toEqual({ stateOfChargePct: 71 });
    expect(says('level', hex('65'))).toMatchObject({
      quantities: { stateOfChargePct: null },
      reasons: { stateOfChargePct: 'outOfRange' },
    });
  });

  it('reads an energy status worked by hand', () => {
    // Flags 00010111: source 181 W (0 × 0B5), 26.4 V (F × 108), 1.37 kWh (E × 089), charging 120 W (0 × 078).
    const { quantities } = says('energyStatus', hex('17 b500 08f1 89e0 7800'));
    expect(quantities).toEqual({
      inputPowerW: 181,
      outputPowerW: 61,
      batteryPowerW: 120,
      batteryVoltageV: 26.4,
      availableEnergyWh: 1370,
    });
  });

  it('tells a discharge by the sign of the charge rate', () => {
    // −35 W: mantissa FDD.
    expect(says('energyStatus', hex('10 dd0f')).quantities).toEqual({ batteryPowerW: -35 });
    expect(says('energyStatus', energyStatusValue({ externalSourceW: 0, chargeRateW: -35 })).quantities).toEqual({
      inputPowerW: 0,
      outputPowerW: 35,
      batteryPowerW: -35,
    });
  });

  it('says of a float that is no number that it is not available', () => {
    expect(says('energyStatus', energyStatusValue({ voltageV: null, chargeRateW: 12 }))).toMatchObject({
      quantities: { batteryVoltageV: null, batteryPowerW: 12 },
      reasons: { batteryVoltageV: 'notAvailable' },
    });
  });

  it('reads times, and knows the two values that are none', () => {
    expect(says('timeStatus', hex('02 780000 feffff')).quantities).toEqual({
      statedMinutesToEmpty: 120,
      statedMinutesToFull: null,
    });
    expect(says('timeStatus', hex('00 ffffff')).quantities).toEqual({ statedMinutesToEmpty: null });
    // With the minutes on standby in between.
    expect(says('timeStatus', hex('03 780000 580200 2d0000')).quantities).toEqual({
      statedMinutesToEmpty: 120,
      statedMinutesToFull: 45,
    });
  });

  it('reads the level of a status wherever its flags put it, and a fault in words', () => {
    expect(says('levelStatus', hex('02 2100 47')).quantities).toEqual({ stateOfChargePct: 71 });
    expect(says('levelStatus', hex('03 2100 0100 47')).quantities).toEqual({ stateOfChargePct: 71 });
    expect(says('levelStatus', levelStatusValue({ charge: 'charging', faults: 0b011 })).states).toEqual({
      fault: 'a fault in its battery, the external source',
    });
    expect(says('levelStatus', levelStatusValue({ charge: 'unknown', present: false })).states).toEqual({
      fault: 'no battery is in place',
    });
  });

  it('rejects a value too short for what its flags announce', () => {
    for (const [from, value] of [
      ['energyStatus', '17 b500'],
      ['timeStatus', '02 780000'],
      ['levelStatus', '02 2100'],
      ['level', ''],
    ] as const) {
      expect(session.decode(hex(value), from)).toMatchObject({ rejected: 'malformed' });
    }
  });

  it('is a source with nothing but a level, and asks once for what is lacking', () => {
    const { asked, given, talk } = round({ level: hex('47') });
    expect(given).toMatchObject([{ quantities: { stateOfChargePct: 71 }, quality: 'good' }]);
    expect(asked).toContain('energyStatus');
    const again = talk.next({ done: true });
    expect(again.value).toMatchObject({ step: 'read', from: 'level' });
    expect(talk.next({ frame: hex('46') }).value).toMatchObject({ step: 'give' });
    expect(talk.next({ done: true }).value).toMatchObject({ step: 'rest' });
  });

  it('does not ask for what the station tells by itself, nor lets an older read stand before it', () => {
    const { talk, fresh } = round({ level: hex('47') });
    expect(talk.next({ done: true }).value).toMatchObject({ step: 'read', from: 'level' });
    // Told while the read was on its way.
    fresh.decode(hex('46'), 'level');
    expect(talk.next({ frame: hex('47') }).value).toMatchObject({ step: 'rest' });
    fresh.decode(hex('45'), 'level');
    expect(talk.next({ done: true }).value).toMatchObject({ step: 'rest' });
    expect(talk.next({ done: true }).value).toMatchObject({ step: 'read', from: 'level' });
  });

  it('gives power and current the sign that the status tells, and none of them without it', () => {
    const electric = { power: powerValue(93.5), current: currentValue(3.61), voltage: voltageValue(25.9) };
    const level = hex('47');
    expect(round({ level, ...electric }).given).toMatchObject([{ quantities: { batteryVoltageV: 25.90625 } }]);
    expect(round({ level, ...electric }).given[0]!.quantities).not.toHaveProperty('batteryPowerW');
    const status = (charge: 'charging' | 'dischargingActive') => levelStatusValue({ charge });
    expect(round({ level, levelStatus: status('charging'), ...electric }).given).toMatchObject([
      { quantities: { batteryPowerW: 93.5, batteryCurrentA: 3.61 } },
    ]);
    expect(round({ level, levelStatus: status('dischargingActive'), ...electric }).given).toMatchObject([
      { quantities: { batteryPowerW: -93.5, batteryCurrentA: -3.61 } },
    ]);
  });

  it('never throws, whatever bytes come from wherever', () => {
    fc.assert(
      fc.property(
        fc.uint8Array({ maxLength: 64 }),
        fc.constantFrom('level', 'levelStatus', 'energyStatus', 'timeStatus', 'voltage', 'power', '', 'else'),
        (bytes, from) => {
          const first = session.decode(bytes, from);
          expect(session.decode(bytes, from)).toEqual(first);
        },
      ),
    );
  });

  it('reads back what a station writes', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 2000 }), fc.integer({ min: 0, max: 2000 }), (inputW, outputW) => {
        const value = energyStatusValue({ externalSourceW: inputW, chargeRateW: inputW - outputW });
        expect(says('energyStatus', value).quantities).toMatchObject({ inputPowerW: inputW, outputPowerW: outputW });
      }),
    );
    expect(says('timeStatus', timeStatusValue(754, null)).quantities).toMatchObject({ statedMinutesToEmpty: 754 });
  });
});

describe('the simulated medical float', () => {
  it('is 1.37 kWh with the most digits that fit, worked by hand: mantissa 1370, exponent −3', () => {
    expect(medfloat16(1.37)).toEqual([0x5a, 0xd5]);
    expect(medfloat16(null)).toEqual([0xff, 0x07]);
  });
});
