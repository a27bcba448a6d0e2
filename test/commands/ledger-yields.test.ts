/** The yields of days on record: real record, readings that follow the clear sky exactly. */
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { civilDayOf } from '#energy/civil-day';
import { totalWm2 } from '#energy/laws/plane-of-array';
import { onPlane } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import { type Fact, StationSettings } from '#messages';
import { factsAt, factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { ledgerYields } from '../../agent/commands/ledger-yields.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import { freshFolder, openTestRecord, reading } from '../support/record.ts';

const ZONE = 'Europe/Zurich';
const PLANE = { tiltDeg: 30, azimuthDeg: 180 };
const PLACE = { latitudeDeg: 46.05, longitudeDeg: 7.1 };
const shed = (more: object = {}) =>
  v.parse(StationSettings, {
    id: 'shed',
    name: 'Honey shed',
    transport: { kind: 'typed' },
    inputSource: 'sun',
    zone: ZONE,
    place: PLACE,
    panel: [{ name: 'Folding', ratedW: 90, count: 3, ...PLANE }],
    ...more,
  });
const DAY = civilDayOf(Date.parse('2026-06-21T12:00:00Z'), ZONE);
const skyAt = clearSkyOver({ ...PLACE, altitudeM: 0, turbidity: 3 });
const planeWm2 = (at: number) => totalWm2(onPlane(skyAt(at), PLANE));

interface Course {
  stepMs?: number;
  /** Hours of the day that are not recorded. */
  missing?: [from: number, to: number];
  stateOfChargePct?: (hour: number) => number;
  /** Measured light, as a share of the clear sky's. */
  measured?: number;
}

/** Panels that give 0.8 of what their rating would under the clear sky; the record's one day. */
function recordedDay({ stepMs = 60_000, missing, stateOfChargePct = () => 50, measured }: Course = {}) {
  const record = openTestRecord(freshFolder());
  const readings = [];
  for (let at = DAY.startMs, seq = 0; at <= DAY.endMs; at += stepMs) {
    const hour = (at - DAY.startMs) / 3_600_000;
    if (missing !== undefined && hour >= missing[0] && hour < missing[1]) continue;
    const inputPowerW = 0.8 * 0.27 * planeWm2(at);
    const quantities = { inputPowerW, outputPowerW: 0, stateOfChargePct: stateOfChargePct(hour) };
    const light = measured === undefined ? {} : { planeOfArrayWm2: measured * planeWm2(at) };
    const times = { at, monoMs: at - DAY.startMs, states: { inputSource: 'sun' as const } };
    readings.push(reading(seq++, { ...quantities, ...light }, times));
  }
  takeRecording(readings, factsOf(shed(), stepMs, ZONE), record, null);
  const [day] = record.days('shed', DAY.date, DAY.date);
  return (facts: readonly Fact[] = factsOfSettings(shed())) => ledgerYields(record, 'shed', facts, day!);
}

describe('the yields of a day on record', () => {
  it('are energy over rating, irradiation over full sun, and their ratio', () => {
    const y = recordedDay()();
    expect(y.referenceYieldKwhPerKw).toBeGreaterThan(7.5);
    expect(y.referenceYieldKwhPerKw).toBeLessThan(9.5);
    expect(y.performanceRatio).toBeCloseTo(0.8, 2);
    expect(y.finalYieldKwhPerKw! / y.referenceYieldKwhPerKw!).toBeCloseTo(y.performanceRatio!, 9);
    // The clear sky's watts, warmth and losses taken off, lie below the rating's.
    expect(y.clearSkyWh!).toBeLessThan(270 * y.referenceYieldKwhPerKw!);
    expect(y.clearSkyWh!).toBeGreaterThan(0.75 * 270 * y.referenceYieldKwhPerKw!);
    expect([y.heldBackPct, y.referenceFrom]).toEqual([0, 'clear sky']);
  });

  it('leave a gap out of energy and irradiation alike', () => {
    const whole = recordedDay()();
    const half = recordedDay({ missing: [10, 14] })();
    expect(half.finalYieldKwhPerKw).toBeLessThan(0.7 * whole.finalYieldKwhPerKw!);
    expect(half.performanceRatio).toBeCloseTo(0.8, 2);
    expect(half.clearSkyWh).toBe(whole.clearSkyWh);
  });

  it('hold for a source that speaks every five minutes', () => {
    expect(recordedDay({ stepMs: 300_000 })().performanceRatio).toBeCloseTo(0.8, 2);
  });

  it('are measured against measured light where there is some', () => {
    const y = recordedDay({ measured: 0.9 })();
    expect(y.referenceFrom).toBe('measured');
    expect(y.performanceRatio).toBeCloseTo(0.8 / 0.9, 2);
  });

  it('tell how much of the sun fell while the battery was full', () => {
    const y = recordedDay({ stateOfChargePct: hour => (hour >= 13 ? 100 : 60) })();
    expect(y.heldBackPct).toBeGreaterThan(45);
    expect(y.heldBackPct).toBeLessThan(65);
  });

  it('are unknown, never guessed, where panels, their stand or the place are', () => {
    const day = recordedDay();
    const unknown = { clearSkyWh: null, referenceYieldKwhPerKw: null, performanceRatio: null, referenceFrom: null };
    expect(day(factsOfSettings(shed({ place: undefined })))).toMatchObject(unknown);
    expect(day(factsOfSettings(shed({ panel: [] })))).toMatchObject({ ...unknown, finalYieldKwhPerKw: null });
    const moved = day(factsOfSettings(shed({ panel: [{ name: 'Carried', ratedW: 270 }] })));
    expect(moved).toMatchObject(unknown);
    expect(moved.finalYieldKwhPerKw).toBeGreaterThan(0);
    expect(day([])).toMatchObject({ ...unknown, finalYieldKwhPerKw: null });
  });

  it('give no ratio for a night', () => {
    expect(recordedDay({ missing: [3, 24] })().performanceRatio).toBeNull();
  });
});

describe('what was true on a day', () => {
  const said = (validFromMs: number, ratedW: number): Fact => ({
    station: 'shed',
    key: 'panel',
    valueJson: JSON.stringify([{ name: 'Folding', ratedW }]),
    validFromMs,
  });

  it('is the newest word before it, and the first word for the time before any', () => {
    const facts = [said(2_000, 200), said(1_000, 100)];
    expect([500, 1_500, 2_500].map(at => factsAt(facts, at).ratedW)).toEqual([100, 100, 200]);
  });

  it('is nothing where the owner took it away or the record’s shape is another', () => {
    expect(factsAt([said(1, 100), { ...said(2, 0), valueJson: null }], 3).ratedW).toBeNull();
    expect(factsAt([{ ...said(1, 0), valueJson: '{"watts":100}' }], 3).ratedW).toBeNull();
  });
});

describe('a day with panels that were carried', () => {
  const fact = (key: string, value: unknown, validFromMs: number): Fact => ({
    station: 'shed',
    key,
    valueJson: JSON.stringify(value),
    validFromMs,
  });
  const without = shed({ panel: [{ name: 'Folding', ratedW: 90, count: 3 }] });
  const noon = DAY.startMs + 12 * 3_600_000;

  it('is held against the plane of the spot they stood at, where they have none of their own', () => {
    const ask = recordedDay();
    expect(ask(factsOfSettings(without)).performanceRatio).toBeNull();
    const told = [...factsOfSettings(without), fact('spot.step', PLANE, 0)];
    const at = ask([...told, fact('standing', { spot: 'step' }, DAY.startMs)]);
    expect(at.performanceRatio).toBeCloseTo(0.8, 2);
    expect(at.referenceYieldKwhPerKw).toBeCloseTo(ask().referenceYieldKwhPerKw!, 6);
    // For half a day nobody knows how they stood.
    expect(ask([...told, fact('standing', { spot: 'step' }, noon)]).performanceRatio).toBeNull();
  });

  it('takes each plane for its own hours', () => {
    const ask = recordedDay();
    const steep = fact('spot.wall', { tiltDeg: 90, azimuthDeg: 180 }, 0);
    const all = [...factsOfSettings(shed()), steep];
    const [own, half, wall] = [
      ask(all),
      ask([...all, fact('standing', { spot: 'wall' }, noon)]),
      ask([...all, fact('standing', { spot: 'wall' }, 0)]),
    ].map(yields => yields.referenceYieldKwhPerKw!);
    expect(half!).toBeLessThan(own!);
    expect(half!).toBeGreaterThan(wall!);
  });
});
