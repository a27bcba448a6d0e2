import { describe, expect, it } from 'vitest';
import { learnZone, zoneOffsetMs } from '#energy/civil-day';
import { findZoneRules, offsetByRules } from '#energy/zone-rules';

const DAY_MS = 86_400_000;
const FROM = Date.UTC(2024, 0, 1);
const UNTIL = Date.UTC(2027, 0, 1);
/** Two changes a year, half an hour, a quarter hour, a change for a month of fasting, none, the southern half. */
const ZONES = [
  'Europe/Berlin',
  'Australia/Lord_Howe',
  'Asia/Kathmandu',
  'Africa/Casablanca',
  'UTC',
  'America/Santiago',
  'Pacific/Chatham',
];

describe('rules of a zone', () => {
  it.each(ZONES)('say of %s what Intl says, each day and around each change', zone => {
    const asked = (at: number) => zoneOffsetMs(at, zone);
    const rules = findZoneRules(asked, FROM, UNTIL);
    const instants = rules.offsets.flatMap(({ fromMs }) => [fromMs - 1, fromMs, fromMs + 1]);
    for (let at = FROM; at < UNTIL; at += DAY_MS) instants.push(at);
    const wrong = instants.filter(at => at >= FROM && offsetByRules(rules, at) !== asked(at));
    expect(wrong).toEqual([]);
  });

  it('hold the published changes of Berlin in 2026', () => {
    const { offsets } = findZoneRules(at => zoneOffsetMs(at, 'Europe/Berlin'), Date.UTC(2026, 0, 1), UNTIL);
    expect(offsets).toEqual([
      { fromMs: Date.UTC(2026, 0, 1), offsetMs: 3_600_000 },
      { fromMs: Date.UTC(2026, 2, 29, 1), offsetMs: 7_200_000 },
      { fromMs: Date.UTC(2026, 9, 25, 1), offsetMs: 3_600_000 },
    ]);
  });

  it('say nothing outside their stretch, where Intl is asked again', () => {
    const rules = { fromMs: FROM, untilMs: UNTIL, offsets: [{ fromMs: FROM, offsetMs: 60_000 }] };
    expect(offsetByRules(rules, FROM - 1)).toBeNull();
    expect(offsetByRules(rules, UNTIL)).toBeNull();
    learnZone('Asia/Tokyo', rules);
    expect(zoneOffsetMs(FROM, 'Asia/Tokyo')).toBe(60_000);
    expect(zoneOffsetMs(UNTIL, 'Asia/Tokyo')).toBe(9 * 3_600_000);
  });
});
