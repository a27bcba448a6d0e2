import { describe, expect, it } from 'vitest';
import { civilDate, startOfDate, zoneOffsetMs } from '#energy/civil-day';
import { sunEvents } from '#energy/laws/sun-events';
import { sunPosition } from '#energy/laws/sun-position';
import { SUN_EVENTS, SUN_POSITIONS } from '../reference/sun.ts';

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

describe('sun position', () => {
  it.each(SUN_POSITIONS)('is within 0.02° of the solar position algorithm: %s', (_, lat, lon, utc, zenith, azimuth) => {
    const sun = sunPosition(Date.parse(utc), lat, lon);
    expect(apartDeg(unit(sun.zenithDeg, sun.azimuthDeg), unit(zenith, azimuth))).toBeLessThan(0.02);
  });
});

describe('sunrise and sunset', () => {
  it.each(SUN_EVENTS)('at %f, %f in %s on %s are within 10 s of an event search', (lat, lon, zone, date, rise, set) => {
    const start = startOfDate(date, zone);
    const { events, polar } = sunEvents(start, start + 86_400_000, lat, lon);
    expect(polar).toBeNull();
    const secondsOf = (kind: string) => {
      const event = events.find(e => e.kind === kind)!;
      return Math.round((event.at + zoneOffsetMs(event.at, zone)) / 1000) % 86_400;
    };
    const seconds = (clock: string) => clock.split(':').reduce((sum, part) => sum * 60 + Number(part), 0);
    expect(Math.abs(secondsOf('sunrise') - seconds(rise))).toBeLessThanOrEqual(10);
    expect(Math.abs(secondsOf('sunset') - seconds(set))).toBeLessThanOrEqual(10);
  });

  it('says that the sun stays up or down where it does', () => {
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
});
