import { describe, expect, it } from 'vitest';
import { complete, type DecodedReading, type Quantities, type Reasons, type States } from '#kit';

const reading = (quantities: Quantities, states: States = {}, reasons: Reasons = {}): DecodedReading => ({
  quantities,
  states,
  reasons,
  quality: 'good',
});
const completed = (quantities: Quantities, states?: States, reasons?: Reasons) =>
  complete(reading(quantities, states, reasons));

describe('completing a reading', () => {
  it('sums solar ports, all input and all output where only parts are given', () => {
    const { quantities } = completed({
      'solarPowerW.1': 100,
      'solarPowerW.2': 20,
      chargerPowerW: 5,
      acOutputPowerW: 30,
      dcOutputPowerW: 7,
      stateOfChargePct: 50,
    });
    expect(quantities).toMatchObject({ solarPowerW: 120, inputPowerW: 125, outputPowerW: 37 });
  });

  it('keeps a total the station gave, even where its parts say otherwise', () => {
    const { quantities } = completed({ inputPowerW: 90, solarPowerW: 100, outputPowerW: 1, acOutputPowerW: 2 });
    expect(quantities).toMatchObject({ inputPowerW: 90, outputPowerW: 1 });
  });

  it('has no sum where a part is missing, for the reason of that part', () => {
    const { quantities, reasons } = completed(
      { solarPowerW: 80, chargerPowerW: null },
      {},
      { chargerPowerW: 'outOfRange' },
    );
    expect(quantities.inputPowerW).toBeNull();
    expect(reasons.inputPowerW).toBe('outOfRange');
  });

  it('splits the power of the battery where a station tells nothing else', () => {
    expect(completed({ batteryPowerW: 40 }).quantities).toMatchObject({ inputPowerW: 40, outputPowerW: 0 });
    expect(completed({ batteryPowerW: -40 }).quantities).toMatchObject({ inputPowerW: 0, outputPowerW: 40 });
    expect(completed({ batteryPowerW: -40, outputPowerW: 55 }).quantities.inputPowerW).toBeNull();
    expect(completed({ batteryPowerW: null }, {}, { batteryPowerW: 'outOfRange' }).reasons).toMatchObject({
      inputPowerW: 'outOfRange',
      outputPowerW: 'outOfRange',
    });
  });

  it('calls input solar only when its source is known to be the sun and nothing else comes in', () => {
    expect(completed({ inputPowerW: 70 }, { inputSource: 'sun' }).quantities.solarPowerW).toBe(70);
    expect(completed({ inputPowerW: 70 }, { inputSource: 'wall' }).quantities).not.toHaveProperty('solarPowerW');
    expect(completed({ inputPowerW: 70 }, { inputSource: 'unknown' }).quantities).not.toHaveProperty('solarPowerW');
    expect(completed({ inputPowerW: 70 }).quantities).not.toHaveProperty('solarPowerW');
    const both = completed({ inputPowerW: 70, chargerPowerW: 30 }, { inputSource: 'sun' });
    expect(both.quantities).not.toHaveProperty('solarPowerW');
    expect(completed({ inputPowerW: 70, solarPowerW: 60 }, { inputSource: 'sun' }).quantities.solarPowerW).toBe(60);
  });

  it('says which of the three required values a station did not give', () => {
    const { quantities, reasons } = completed({ inputPowerW: 10 });
    expect(quantities).toMatchObject({ outputPowerW: null, stateOfChargePct: null });
    expect(reasons).toEqual({ outputPowerW: 'notGiven', stateOfChargePct: 'notGiven' });
  });

  it('asks nothing of a sensor', () => {
    expect(completed({ planeOfArrayWm2: 640 }).quantities).toEqual({ planeOfArrayWm2: 640 });
  });

  it('leaves the reading it was given as it was, and finds nothing more the second time', () => {
    const given = reading({ solarPowerW: 4, acOutputPowerW: 2 });
    const before = structuredClone(given);
    const once = complete(given);
    expect(given).toEqual(before);
    expect(complete(once)).toEqual(once);
  });
});
