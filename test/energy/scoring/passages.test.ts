import { describe, expect, it } from 'vitest';
import { createPassages, type PassageRow } from '#energy/estimates/scoring/passages';

const MINUTE = 60_000;
const row = (min: number, pct: number | null, change: Partial<PassageRow> = {}): PassageRow => ({
  at: min * MINUTE,
  stateOfChargePct: pct,
  outputW: 50,
  inputW: 0,
  held: false,
  ...change,
});
const seen = (rows: PassageRow[], floorPct = 10, ceilingPct = 100) => {
  const passages = createPassages(floorPct, ceilingPct);
  for (const r of rows) passages.add(r);
  const minutes = (stretches: readonly { startAt: number; endAt: number }[]) =>
    stretches.map(({ startAt, endAt }) => [startAt / MINUTE, endAt / MINUTE]);
  return { discharges: minutes(passages.discharges()), charges: minutes(passages.charges()) };
};
const charging = { inputW: 300, held: true };

describe('what came true of a discharge', () => {
  it('runs from the first state of charge to the first row at the floor', () => {
    expect(seen([row(0, null), row(5, 20), row(10, 12), row(15, 10), row(20, 9)]).discharges).toEqual([[5, 15]]);
  });

  it('is nothing where the recording ends sooner', () => {
    expect(seen([row(0, 20), row(10, 11)]).discharges).toEqual([]);
  });

  it('is not begun anew by a percent that flickers at the floor', () => {
    const rows = [row(0, 20), row(5, 10), row(6, 11), row(7, 10), row(8, 15), row(9, 10)];
    expect(seen(rows).discharges).toEqual([
      [0, 5],
      [8, 9],
    ]);
  });

  it('begins when the wall goes, and includes the sun', () => {
    const rows = [row(0, 60, charging), row(5, 70, charging), row(10, 70), row(20, 75, { inputW: 200 }), row(30, 10)];
    expect(seen(rows).discharges).toEqual([[10, 30]]);
  });

  it('is not known where nothing was recorded around its end', () => {
    expect(seen([row(0, 20), row(10, 15), row(40, 8)]).discharges).toEqual([]);
  });
});

describe('what came true of a charge', () => {
  it('runs from where more comes in than goes out to the first row at the ceiling', () => {
    const rows = [row(0, 40), row(5, 40, charging), row(10, 80, charging), row(15, 99, { inputW: 40 }), row(18, 100)];
    expect(seen(rows).charges).toEqual([[5, 18]]);
    expect(seen(rows, 10, 80).charges).toEqual([[5, 10]]);
  });

  it('is given up after half an hour without', () => {
    const rows = [row(0, 40, charging), row(10, 50), row(20, 50), row(31, 49), row(40, 60, charging), row(50, 100)];
    expect(seen(rows).charges).toEqual([[40, 50]]);
  });
});
