/**
 * Energy is never invented over a gap, and the yields stay honest: a measured clear day with gaps cut into it, held
 * against what sums that take missing minutes for zero make of it, and against IEC 61724-1 worked by hand.
 */
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { type LedgerDay, StationSettings } from '#messages';
import { ledgerWorked } from '../../agent/commands/ledger-answer.ts';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import {
  POWER_DAY_KWH,
  POWER_DAY_MS,
  POWER_FROM_MIN,
  POWER_GAPS,
  POWER_PLACE,
  POWER_PLANE,
  POWER_W,
} from '../reference/clear-day-power.ts';
import { REAL_DAYS, WORKED_YIELDS } from '../reference/yields.ts';
import { freshFolder, openTestRecord, reading } from '../support/record.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

interface Row {
  at: number;
  powerW: number;
  planeWm2?: number;
}

/** The days of a recording, a row each interval. */
function daysOf(rows: readonly Row[], intervalMs: number, settings: StationSettings): LedgerDay[] {
  const record = openTestRecord(freshFolder());
  const readings = rows.map(({ at, powerW, planeWm2 }, seq) => {
    const light = planeWm2 === undefined ? {} : { planeOfArrayWm2: planeWm2 };
    const quantities = { inputPowerW: powerW, solarPowerW: powerW, outputPowerW: 0, ...light };
    return reading(seq + 1, quantities, { at, monoMs: at, states: { inputSource: 'sun' } });
  });
  takeRecording(readings, factsOf(settings, intervalMs, settings.zone!), record, null);
  return ledgerWorked(record, {
    station: 'shed',
    zone: settings.zone!,
    from: '0001-01-01',
    to: '9999-12-31',
    nowMs: rows.at(-1)!.at,
    facts: factsOfSettings(settings),
  }).answer.days;
}

const station = (more: object) =>
  v.parse(StationSettings, { id: 'shed', name: 'Shed', transport: { kind: 'typed' }, inputSource: 'sun', ...more });

describe('a measured clear day', () => {
  const roof = station({
    zone: 'Etc/GMT+7',
    place: POWER_PLACE,
    panel: [{ name: 'Roof', ratedW: 2000, count: 3, ...POWER_PLANE }],
  });
  const wattsAt = (minute: number) => POWER_W[minute - POWER_FROM_MIN] ?? 0;
  const dayWithout = (fromMin: number, minutes: number): LedgerDay => {
    const all = Array.from({ length: 1440 }, (_, minute) => ({
      minute,
      at: POWER_DAY_MS + minute * MINUTE_MS,
      powerW: wattsAt(minute),
    }));
    const kept = all.filter(({ minute }) => minute < fromMin || minute >= fromMin + minutes);
    return daysOf(kept, MINUTE_MS, roof)[0]!;
  };

  let known: LedgerDay | null = null;
  const wholeDay = (): LedgerDay => {
    known ??= dayWithout(0, 0);
    return known;
  };

  it('holds its energy', () => {
    const whole = wholeDay();
    expect(whole.solarWh / 1000).toBeCloseTo(POWER_DAY_KWH, 2);
    expect(whole.referenceFrom).toBe('clear sky');
  });

  it.each(POWER_GAPS)(
    'with a gap at minute %d of %d minutes invents nothing, and its ratio holds',
    (from, minutes, available, zeroFilledKwh) => {
      const whole = wholeDay();
      const day = dayWithout(from, minutes);
      // Not a watt-hour beyond what was read; at each edge half a minute of what was read belongs to the gap.
      const edgesKwh = (wattsAt(from - 1) + wattsAt(from + minutes)) / 2 / 60 / 1000;
      expect(day.solarWh / 1000).toBeCloseTo(zeroFilledKwh - edgesKwh, 2);
      expect(day.coveragePct / 100).toBeCloseTo(available, 2);
      // Taken for zero, the gap would have been the panels' fault.
      const zeroFilled = whole.performanceRatio! * (zeroFilledKwh / POWER_DAY_KWH);
      const honest = Math.abs(day.performanceRatio! - whole.performanceRatio!);
      // What is left is that the panels were not equally good at all hours.
      expect(honest).toBeLessThan(Math.max(0.002, 0.2 * (whole.performanceRatio! - zeroFilled)));
      expect(day.clearSkyWh).toBe(whole.clearSkyWh);
      // The gap is told as what it is, as much as a clear sky would have given meanwhile.
      const share = whole.solarWh / whole.clearSkyWh!;
      const gapWh = share * (day.whereItWent!.notRecordedWh - whole.whereItWent!.notRecordedWh);
      const missedWh = Array.from({ length: minutes }, (_, i) => wattsAt(from + i) / 60).reduce((a, b) => a + b, 0);
      expect(gapWh / missedWh).toBeGreaterThan(0.85);
      expect(gapWh / missedWh).toBeLessThan(1.2);
    },
  );
});

describe('yields worked by hand', () => {
  it('come out of a record with measured light', () => {
    const { peakKw, referenceH, finalH, ratio } = WORKED_YIELDS;
    const settings = station({
      zone: 'UTC',
      place: { latitudeDeg: 45, longitudeDeg: 0 },
      panel: [{ name: 'Two', ratedW: (1000 * peakKw) / 2, count: 2, tiltDeg: 30, azimuthDeg: 180 }],
    });
    // Nine even hours: 600 W/m² and 180 W are 5.4 kWh/m² and 1.62 kWh.
    const startMs = Date.UTC(2026, 5, 1);
    const rows = Array.from({ length: 1440 }, (_, minute) => {
      const isLit = minute >= 480 && minute < 1020;
      return { at: startMs + minute * MINUTE_MS, powerW: isLit ? 180 : 0, planeWm2: isLit ? 600 : 0 };
    });
    const [day] = daysOf(rows, MINUTE_MS, settings);
    expect(day!.referenceFrom).toBe('measured');
    expect(day!.referenceYieldH).toBeCloseTo(referenceH, 2);
    expect(day!.finalYieldH).toBeCloseTo(finalH, 2);
    expect(day!.performanceRatio).toBeCloseTo(ratio, 3);
  });

  it('of a real system’s days are those of its quarter-hours, with snow and an outage in the sun', () => {
    const settings = station({
      zone: 'UTC',
      place: { latitudeDeg: 39.7, longitudeDeg: -105.2 },
      panel: [{ name: 'Array', ratedW: 2000, count: 1, tiltDeg: 10, azimuthDeg: 180 }],
    });
    const ratedKw = 204.12;
    // The same sums spread evenly over eight hours, on a scale of ours: only energy and light of each day are known here.
    const rows = REAL_DAYS.flatMap(({ date, acKwh, planeKwhM2 }) => {
      const startMs = Date.parse(`${date}T00:00:00Z`);
      return Array.from({ length: 96 }, (_, slot) => {
        const isLit = slot >= 32 && slot < 64;
        const powerW = isLit ? ((acKwh / ratedKw) * 2 * 1000) / 8 : 0;
        return { at: startMs + slot * 900_000, powerW, planeWm2: isLit ? (planeKwhM2 * 1000) / 8 : 0 };
      });
    });
    const days = daysOf(rows, 900_000, settings);
    expect(days).toHaveLength(5);
    for (const [i, day] of days.entries()) {
      expect(day.finalYieldH).toBeCloseTo(REAL_DAYS[i]!.finalH, 2);
      expect(day.performanceRatio).toBeCloseTo(REAL_DAYS[i]!.ratio, 2);
    }
    expect(rows.at(-1)!.at - rows[0]!.at).toBeLessThan(5 * DAY_MS);
  });
});
