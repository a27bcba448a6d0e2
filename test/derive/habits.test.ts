import { describe, expect, it } from 'vitest';
import { usualLightOver } from '../../agent/derive/clear-light.ts';
import type { StationFacts } from '../../agent/derive/facts.ts';
import { createHabits } from '../../agent/derive/habits.ts';
import { createOutlook } from '../../agent/derive/outlook.ts';
import { toldOf } from '../../agent/derive/told.ts';
import { cycling, household, NOW_MINUTE, steady } from '../support/household.ts';
import { reading } from './readings.ts';

const MINUTE = 60_000;
const HOUR = 60 * MINUTE;
const NOW_AT = NOW_MINUTE * MINUTE;
const DAYS = 2 * 1440;
/** No two minutes of a real load are the same. */
const noise = (minute: number) => (minute % 3) / 2;
const facts: StationFacts = {
  intervalMs: 60_000,
  zone: 'Europe/Berlin',
  ratedWh: 1000,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: 0,
  inputSource: 'unknown',
  panels: [{ ratedW: 400 }],
  solarMaxW: null,
  place: { latitudeDeg: 50, longitudeDeg: 10 },
};

describe('habits of the load', () => {
  it('take what is rare out of the past and let it come when it is due', () => {
    const past = household(DAYS, [steady(40), cycling(450, 20, 480)], noise);
    const usual = createHabits(() => past).usual(NOW_AT)!;
    expect(usual.rare).toHaveLength(1);
    expect(usual.rare![0]!.everyMin).toBeCloseTo(480, -1);
    expect(Math.max(...usual.past!.outputW.slice(0, usual.past!.count))).toBeLessThan(100);
  });

  it('suppose nothing where nothing is rare', () => {
    const past = household(DAYS, [steady(40), cycling(90, 15, 50)]);
    expect(createHabits(() => past).usual(NOW_AT)).toBeNull();
  });

  it('tell of a load gone quiet by its name, since it last drew', () => {
    const stopped = DAYS - 200;
    const freezer = cycling(95, 17, 50);
    const past = household(DAYS, [steady(20), m => (m < stopped ? freezer(m) : 0)]);
    const named = [{ name: 'Chest freezer', powerW: 95, mustStayOn: true }];
    const [quiet, ...others] = createHabits(() => past).quiet(NOW_AT, named);
    expect(others).toEqual([]);
    expect(quiet).toMatchObject({ name: 'Chest freezer' });
    expect(NOW_AT - quiet!.sinceAt).toBeGreaterThan(180 * MINUTE);
    expect(NOW_AT - quiet!.sinceAt).toBeLessThan(240 * MINUTE);
  });

  it('tell of none while it cycles, nor while nothing was recorded', () => {
    const past = household(DAYS, [steady(20), cycling(95, 17, 50)]);
    expect(createHabits(() => past).quiet(NOW_AT, [])).toEqual([]);
    expect(createHabits(() => past).quiet(NOW_AT + 5 * HOUR, [])).toEqual([]);
  });
});

describe('what lies ahead', () => {
  /** A router of 40 W; with the heater also 500 W for twenty minutes every six hours, last four hours ago. */
  function lastsMin(heater: boolean): number {
    const outlook = createOutlook({ ...facts, place: null, panels: [] }, null);
    const loadW = (m: number) => 40 + noise(m + DAYS) + (heater && (m + 240 + 3600) % 360 < 20 ? 500 : 0);
    for (let m = -DAYS; m < -120; m++) outlook.recall(NOW_AT + m * MINUTE, loadW(m), 0);
    let pct = 90;
    for (let m = -120; m <= 0; m++) {
      const at = NOW_AT + m * MINUTE;
      outlook.add(toldOf(reading({ at, outputW: loadW(m), inputW: 0, pct: Math.round(pct) }), 0, 'unknown'));
      pct -= (1.11 * loadW(m) + 11) / 600;
    }
    const ahead = outlook.ahead(NOW_AT);
    return (ahead.emptyAt!.p50! - NOW_AT) / MINUTE;
  }

  it('counts on a rare big cycle that the last hours do not hold', () => {
    const without = lastsMin(false);
    const withIt = lastsMin(true);
    // 167 Wh every six hours are 28 W on top of 40 W.
    expect(withIt).toBeLessThan(0.8 * without);
    expect(withIt).toBeGreaterThan(0.45 * without);
  });

  it('says which sky it counts on: over the place, else a usual day once there was sun or panels, else none', () => {
    const sky = (over: Partial<typeof facts>, solarW: number | null) => {
      const outlook = createOutlook({ ...facts, ...over }, null);
      outlook.add(toldOf(reading({ at: NOW_AT, inputW: solarW ?? 0, pct: 50 }), solarW, 'sun'));
      return outlook.ahead(NOW_AT).sky;
    };
    expect(sky({}, 0)).toBe('place');
    expect(sky({ place: null }, 0)).toBe('usualDay');
    expect(sky({ place: null, panels: [] }, 30)).toBe('usualDay');
    expect(sky({ place: null, panels: [] }, 0)).toBeNull();
  });
});

describe('a usual day', () => {
  it('goes by the clock of the zone, summer time included', () => {
    const light = usualLightOver('Europe/Berlin');
    // Noon of the half wave is at half past twelve by the clock.
    expect(light(Date.parse('2026-07-01T10:30:00Z'))).toBeCloseTo(900, 6);
    expect(light(Date.parse('2026-01-15T11:30:00Z'))).toBeCloseTo(900, 6);
    expect(light(Date.parse('2026-07-01T22:00:00Z'))).toBe(0);
    expect(usualLightOver('Asia/Tokyo')(Date.parse('2026-07-01T03:30:00Z'))).toBeCloseTo(900, 6);
  });
});
