import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import type { Fact } from '#messages';
import { StationSettings } from '#messages';
import { changedFacts, wireStation } from '../../agent/commands/run/station-facts.ts';

const shed = (more: object = {}) =>
  v.parse(StationSettings, { id: 'shed', name: 'Honey shed', transport: { kind: 'typed' }, ...more });
const place = { latitudeDeg: 45.5, longitudeDeg: 9, altitudeM: 310, coldestC: -15 };
const SPRING = 1_000;
const AUTUMN = 2_000;

/** Facts as the record would hold them after each change in turn. */
function recorded(...changes: [at: number, station: StationSettings, tariff?: { perKWh: number; currency: string }][]) {
  const known: Fact[] = [];
  for (const [at, station, tariff] of changes) known.push(...changedFacts(station, tariff, known, at));
  return known;
}
const about = (facts: readonly Fact[], key: string) =>
  facts.filter(f => f.key === key).map(f => [f.validFromMs, f.valueJson === null ? null : JSON.parse(f.valueJson)]);

describe('what a station was told, as dated facts', () => {
  it('keeps the coldest morning and the idle draw with the date they became true', () => {
    const facts = recorded([SPRING, shed({ place, idleW: 9 })], [AUTUMN, shed({ place: { ...place, coldestC: -20 } })]);
    expect(about(facts, 'place')).toEqual([
      [SPRING, place],
      [AUTUMN, { ...place, coldestC: -20 }],
    ]);
    expect(about(facts, 'idleW')).toEqual([
      [SPRING, 9],
      [AUTUMN, null],
    ]);
  });

  it('keeps last year’s price when this year’s is told', () => {
    const euro = (perKWh: number) => ({ perKWh, currency: 'EUR' });
    const facts = recorded(
      [SPRING, shed(), euro(0.31)],
      [AUTUMN, shed(), euro(0.28)],
      [AUTUMN + 1, shed(), euro(0.28)],
    );
    expect(about(facts, 'tariff')).toEqual([
      [SPRING, euro(0.31)],
      [AUTUMN, euro(0.28)],
    ]);
  });
});

describe('a station as the live page is told of it', () => {
  it('carries the coordinates of its place and nothing more of it', () => {
    expect(wireStation(shed({ place }), [], false, 'UTC').place).toEqual({ latitudeDeg: 45.5, longitudeDeg: 9 });
  });
});
