/** What Plan asks of the record: real record, readings that follow the clear sky exactly. */
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { civilDayOf, startOfDate } from '#energy/civil-day';
import { onPlane, panelPowerW, panelsOf, UNKNOWN_AIR } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import { StationSettings } from '#messages';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { type PlanPast, planPast, planPastPieces } from '../../agent/commands/plan-past.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import { batch, freshFolder, openTestRecord, reading } from '../support/record.ts';

const ZONE = 'Europe/Zurich';
const PLANE = { tiltDeg: 30, azimuthDeg: 180 };
const PLACE = { latitudeDeg: 46.05, longitudeDeg: 7.1 };
const STEP_MS = 300_000;
const HOUR_MS = 3_600_000;
const DATES = [
  '2026-06-15',
  '2026-06-16',
  '2026-06-17',
  '2026-06-18',
  '2026-06-19',
  '2026-06-20',
  '2026-06-21',
] as const;
const NOW_AT = startOfDate('2026-06-22', ZONE);
const shed = v.parse(StationSettings, {
  id: 'shed',
  name: 'Honey shed',
  transport: { kind: 'typed' },
  inputSource: 'sun',
  zone: ZONE,
  place: PLACE,
  panel: [{ name: 'Folding', ratedW: 100, count: 2, ...PLANE }],
});
const skyAt = clearSkyOver({ ...PLACE, altitudeM: 0, turbidity: 3 });
const clearW = (at: number) => panelPowerW(onPlane(skyAt(at), PLANE), UNKNOWN_AIR, panelsOf(200));

/** @param sky share of a cloudless day, by the place of the date @param fullFrom hour from which the battery is full */
function recorded(sky: (day: number) => number, fullFrom = 24) {
  const record = openTestRecord(freshFolder(), { nowMs: () => NOW_AT });
  const readings = DATES.flatMap((date, day) => {
    const { startMs, endMs } = civilDayOf(startOfDate(date, ZONE), ZONE);
    return Array.from({ length: (endMs - startMs) / STEP_MS }, (_, i) => {
      const at = startMs + i * STEP_MS;
      const hour = (at - startMs) / HOUR_MS;
      const full = hour >= fullFrom;
      const solarPowerW = full ? 0 : sky(day) * clearW(at);
      const charger = hour >= 2 && hour < 4 ? { chargerPowerW: 400 } : { chargerPowerW: 0 };
      const watts = {
        solarPowerW,
        inputPowerW: solarPowerW + charger.chargerPowerW,
        outputPowerW: hour < 12 ? 40 : 80,
      };
      return { at, quantities: { ...watts, ...charger, stateOfChargePct: full ? 100 : 60 } };
    });
  });
  const stamped = readings.map(({ at, quantities }, seq) => reading(seq, quantities, { at, monoMs: at }));
  takeRecording(stamped, factsOf(shed, STEP_MS, ZONE), record, null);
  record.commit(batch([], { facts: factsOfSettings(shed) }));
  return record;
}

/** The answer, and how often others got their turn before it. */
function asked(record: ReturnType<typeof recorded>, nowMs = NOW_AT): PlanPast & { turns: number } {
  const steps = planPast(record, 'shed', ZONE, nowMs);
  for (let turns = 0; ; turns++) {
    const step = steps.next();
    if (step.done === true) return { ...step.value, turns };
  }
}

describe('what Plan asks of the record', () => {
  it('is how much of a cloudless day each day gave, and the week hour by hour of the civil week', () => {
    const shares = [1, 0.2, 0.5, 0.8, 0.3, 0.9, 0.6];
    const past = asked(recorded(day => shares[day]!));
    expect(past.days.map(day => day.date)).toEqual(DATES);
    for (const [i, { clearness }] of past.days.entries()) expect(clearness).toBeCloseTo(shares[i]!, 2);
    // Hours are means of readings that change in steps of five minutes.
    expect(past.weeks).toHaveLength(1);
    const [week] = past.weeks;
    expect([week!.loadW[5], week!.loadW[24 + 13]]).toEqual([40, 80]);
    // Of the 16th, a Tuesday, a fifth.
    expect(week!.sunW[24 + 13]! / week!.sunW[13]!).toBeCloseTo(0.2, 1);
    expect(week!.sunW[2]).toBe(0);
    expect(past.wallSeenW).toBe(400);
    expect(past.usualMostW).toBe(80);
    expect(past.turns).toBeGreaterThan(5);
  });

  it('leaves out what a full battery held back, and days of which too little is left', () => {
    const late = asked(recorded(() => 0.7, 14)).days;
    for (const { clearness } of late) expect(clearness).toBeCloseTo(0.7, 1);
    expect(late).toHaveLength(7);
    expect(asked(recorded(() => 0.7, 9)).days).toEqual([]);
  });

  it('is empty of a station of which nothing is recorded, and looks back no further than a year and a month', () => {
    const nothing = openTestRecord(freshFolder(), { nowMs: () => NOW_AT });
    expect(asked(nothing)).toMatchObject({ days: [], weeks: [], wallSeenW: null, usualMostW: null });
    expect(
      asked(
        recorded(() => 0.7),
        NOW_AT + 500 * 24 * HOUR_MS,
      ),
    ).toMatchObject({ days: [], weeks: [] });
  });

  it('goes over the pipe as JSON after its turns', () => {
    const pieces = [
      ...planPastPieces(
        recorded(() => 0.5),
        { station: 'shed', zone: ZONE },
        NOW_AT,
      ),
    ];
    const told = pieces.filter(piece => piece !== null);
    expect(told).toHaveLength(1);
    expect((JSON.parse(Buffer.from(told[0]!).toString()) as PlanPast).days).toHaveLength(7);
  });
});
