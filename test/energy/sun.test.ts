import fc from 'fast-check';
import * as suncalc from 'suncalc';
import { describe, expect, it } from 'vitest';
import { civilDate, civilDayOf, startOfDate, zoneOffsetMs } from '#energy/civil-day';
import { earthLongitudeDeg } from '#energy/laws/earth-longitude';
import { incidenceDeg } from '#energy/laws/incidence';
import { refractionDeg } from '#energy/laws/refraction';
import { type SunEvent, sunEvents } from '#energy/laws/sun-events';
import { sunPosition } from '#energy/laws/sun-position';
import { PUBLISHED_EVENTS, REFRACTION, SUN_EVENTS, SUN_POSITIONS, WORKED_EXAMPLE } from '../reference/sun.ts';

const RAD = Math.PI / 180;
const unit = (zenithDeg: number, azimuthDeg: number) => [
  Math.sin(zenithDeg * RAD) * Math.sin(azimuthDeg * RAD),
  Math.sin(zenithDeg * RAD) * Math.cos(azimuthDeg * RAD),
  Math.cos(zenithDeg * RAD),
];
/** Angle between two directions: raw azimuths mean nothing near the zenith. */
function apartDeg(a: number[], b: number[]): number {
  const cross = Math.hypot(a[1]! * b[2]! - a[2]! * b[1]!, a[2]! * b[0]! - a[0]! * b[2]!, a[0]! * b[1]! - a[1]! * b[0]!);
  return Math.atan2(cross, a[0]! * b[0]! + a[1]! * b[1]! + a[2]! * b[2]!) / RAD;
}
const turn = (deg: number) => ((deg % 360) + 360) % 360;
const anyInstant = fc.integer({ min: Date.UTC(1990, 0, 1), max: Date.UTC(2051, 0, 1) });
const anyLatitude = fc.double({ min: -89, max: 89, noNaN: true });
const anyLongitude = fc.double({ min: -180, max: 180, noNaN: true });

describe('sun position', () => {
  it('is checked at 18 instants and the worked example', () => expect(SUN_POSITIONS).toHaveLength(18));

  it.each(SUN_POSITIONS)('is within 0.002° of the solar position algorithm: $where', row => {
    const sun = sunPosition(Date.parse(row.utc), row.latitudeDeg, row.longitudeDeg, row.pressurePa);
    expect(apartDeg(unit(sun.zenithDeg, sun.azimuthDeg), unit(row.zenithDeg, row.azimuthDeg))).toBeLessThan(0.002);
    expect(sun.elevationDeg).toBeCloseTo(90 - sun.zenithDeg, 10);
    expect(Math.abs(sun.apparentElevationDeg - row.apparentElevationDeg)).toBeLessThan(0.02);
  });

  it('stands opposite the earth, whose longitude is that of the worked example', () => {
    const { earthCenturies, earthLongitudeDeg: printed } = WORKED_EXAMPLE;
    expect(Math.abs(turn(earthLongitudeDeg(earthCenturies)) - printed)).toBeLessThan(0.002);
  });

  it('agrees with the worked example of the report, the angle of incidence on its plane included', () => {
    const { at, latitudeDeg, longitudeDeg, pressurePa, airTempC, plane } = WORKED_EXAMPLE;
    const sun = sunPosition(Date.parse(at), latitudeDeg, longitudeDeg);
    const apparentZenithDeg = sun.zenithDeg - refractionDeg(sun.elevationDeg, pressurePa, airTempC);
    expect(Math.abs(apparentZenithDeg - WORKED_EXAMPLE.apparentZenithDeg)).toBeLessThan(0.002);
    expect(Math.abs(sun.azimuthDeg - WORKED_EXAMPLE.azimuthDeg)).toBeLessThan(0.002);
    const incidence = incidenceDeg(apparentZenithDeg, sun.azimuthDeg, plane);
    expect(Math.abs(incidence - WORKED_EXAMPLE.incidenceDeg)).toBeLessThan(0.002);
    expect(refractionDeg(sun.elevationDeg, pressurePa, airTempC)).toBeCloseTo(WORKED_EXAMPLE.refractionDeg, 5);
  });

  it('is within 0.02° of another library anywhere from 1990 to 2050', () => {
    fc.assert(
      fc.property(anyInstant, anyLatitude, anyLongitude, (at, latitudeDeg, longitudeDeg) => {
        const sun = sunPosition(at, latitudeDeg, longitudeDeg);
        const other = suncalc.getPosition(new Date(at), latitudeDeg, longitudeDeg);
        // The other tells the apparent altitude only, and lifts a sun below the horizon too: compared by day.
        fc.pre(sun.elevationDeg > 5);
        const ours = unit(90 - sun.apparentElevationDeg, sun.azimuthDeg);
        const theirs = unit(90 - other.altitude, other.azimuth);
        expect(apartDeg(ours, theirs)).toBeLessThan(0.02);
      }),
      { numRuns: 2000 },
    );
  });
});

describe('refraction', () => {
  it('has 11 rows', () => expect(REFRACTION).toHaveLength(11));

  it.each(REFRACTION)('of a sun at %f° is %f°', (elevationDeg, expected) => {
    // The table keeps four decimals.
    expect(Math.abs(refractionDeg(elevationDeg, 101_000, 10) - expected)).toBeLessThanOrEqual(0.0001);
  });

  it('is nothing where the whole sun is below the horizon', () => expect(refractionDeg(-0.84)).toBe(0));
});

const secondsOf = (events: readonly SunEvent[], kind: SunEvent['kind']) =>
  events.filter(event => event.kind === kind).map(event => event.at / 1000);

describe('sunrise and sunset', () => {
  it('are checked on 27 days, 11 of them published', () => {
    expect(SUN_EVENTS).toHaveLength(27);
    expect(PUBLISHED_EVENTS).toHaveLength(11);
  });

  it.each(SUN_EVENTS)('belong to the civil day and agree with an event search: $where $date', row => {
    const start = startOfDate(row.date, row.zone);
    const { endMs } = civilDayOf(start, row.zone);
    const { events, polar } = sunEvents(start, endMs, row.latitudeDeg, row.longitudeDeg);
    expect(polar).toBeNull();
    const tolerance = Math.abs(row.latitudeDeg) < 66 ? 10 : 180;
    for (const [kind, expected] of [['sunrise', row.sunrise] as const, ['sunset', row.sunset] as const]) {
      const [found, ...others] = secondsOf(events, kind);
      expect(others).toEqual([]);
      expect(Math.abs(found! - Date.parse(expected) / 1000)).toBeLessThanOrEqual(tolerance);
    }
  });

  it.each(PUBLISHED_EVENTS)('agree with what was published for $latitudeDeg, $longitudeDeg on $date', row => {
    const start = startOfDate(row.date, row.zone);
    const { events } = sunEvents(start, start + 86_400_000, row.latitudeDeg, row.longitudeDeg);
    for (const [kind, clock] of [['sunrise', row.sunrise] as const, ['sunset', row.sunset] as const]) {
      const [at] = secondsOf(events, kind);
      const local = at! + zoneOffsetMs(at! * 1000, row.zone) / 1000;
      const published = clock.split(':').map(Number);
      const seconds = published[0]! * 3600 + published[1]! * 60 + (published[2] ?? 0);
      // A table to the minute is half a minute coarse.
      expect(Math.abs((local % 86_400) - seconds)).toBeLessThanOrEqual(published.length === 3 ? 10 : 40);
    }
  });

  it('give the evening of the worked example, not the one before', () => {
    const start = Date.parse('2003-10-17T00:00:00-07:00');
    const { latitudeDeg, longitudeDeg } = WORKED_EXAMPLE;
    const { events } = sunEvents(start, start + 86_400_000, latitudeDeg, longitudeDeg);
    const at = (clock: string) => Date.parse(`2003-10-17T${clock}-07:00`) / 1000;
    expect(Math.abs(secondsOf(events, 'sunrise')[0]! - at(WORKED_EXAMPLE.sunrise))).toBeLessThanOrEqual(10);
    expect(Math.abs(secondsOf(events, 'sunset')[0]! - at(WORKED_EXAMPLE.sunset))).toBeLessThanOrEqual(10);
  });

  it('say that the sun stays up or down where it does', () => {
    const june = startOfDate('2025-06-21', 'Europe/Oslo');
    expect(sunEvents(june, june + 86_400_000, 69.65, 18.96)).toEqual({ events: [], polar: 'up' });
    const december = startOfDate('2025-12-21', 'Europe/Oslo');
    expect(sunEvents(december, december + 86_400_000, 69.65, 18.96)).toEqual({ events: [], polar: 'down' });
  });

  it('belong to the civil day asked for', () => {
    const start = startOfDate('2025-03-09', 'America/Denver');
    for (const event of sunEvents(start, start + 82_800_000, 39.7392, -104.9903).events)
      expect(civilDate(event.at, 'America/Denver')).toBe('2025-03-09');
  });

  it('are found where the sun shows itself for minutes only', () => {
    // The latitude at which the noon of that day just clears the horizon lies between these two.
    const start = startOfDate('2025-12-10', 'Europe/Oslo');
    const dayAt = (latitudeDeg: number) => sunEvents(start, start + 86_400_000, latitudeDeg, 18.96).events;
    let [seen, dark] = [66.5, 69];
    while (dark - seen > 1e-5) {
      const middle = (seen + dark) / 2;
      if (dayAt(middle).length > 0) seen = middle;
      else dark = middle;
    }
    const [rise, set] = dayAt(seen);
    expect(rise?.kind).toBe('sunrise');
    expect(set?.kind).toBe('sunset');
    expect(set!.at - rise!.at).toBeLessThan(5 * 60_000);
  });

  it('alternate, and each lies where the sun crosses −0.8333°', () => {
    fc.assert(
      fc.property(anyInstant, anyLatitude, anyLongitude, (from, latitudeDeg, longitudeDeg) => {
        const { events } = sunEvents(from, from + 3 * 86_400_000, latitudeDeg, longitudeDeg);
        for (const [i, event] of events.entries()) {
          expect(event.kind).not.toBe(events[i - 1]?.kind);
          const { elevationDeg } = sunPosition(event.at, latitudeDeg, longitudeDeg);
          expect(Math.abs(elevationDeg + 0.8333)).toBeLessThan(0.006);
        }
      }),
      { numRuns: 50 },
    );
  });
});
