/** Means in packed columns are those of a chart; limits are what readings said, minute by minute. */
import { describe, expect, it } from 'vitest';
import type { States } from '#kit';
import { INPUT_LIMITS, type Means } from '#messages';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const FROM_MS = Math.floor(START_AT / HOUR_MS) * HOUR_MS;

/** Three hours at one reading each 20 s, an hour of them missing; the last lies in the open hour. */
function filled(): OpenedRecord {
  const record = openTestRecord(freshFolder());
  const readings = Array.from({ length: 540 }, (_, i) => {
    const quantities = { solarPowerW: (i * 37) % 211, stateOfChargePct: 40 + (i % 50) };
    return reading(i + 1, quantities, { at: START_AT + i * 20_000, monoMs: i * 20_000 });
  });
  record.commit(batch(readings.filter((_, i) => i < 200 || i >= 380)));
  return record;
}

const numbers = (values: Float64Array): (number | null)[] => Array.from(values, x => (Number.isNaN(x) ? null : x));

describe('means', () => {
  it.each([
    ['minute', 60_000, 240],
    ['quarter-hour', 900_000, 16],
  ] as const)('by the %s are those of the series, with every hole', (_, stepMs, points) => {
    const record = filled();
    const asked = { station: 'shed', quantities: ['solarPowerW', 'stateOfChargePct'] as const, fromMs: FROM_MS };
    const toMs = FROM_MS + 4 * HOUR_MS;
    const means: Means = record.means({ ...asked, toMs, stepMs, greatest: true });
    const { columns } = record.series({ ...asked, toMs, points });
    for (const key of asked.quantities) {
      expect(numbers(means[key]!.mean)).toEqual(columns[key]!.mean);
      expect(numbers(means[key]!.max)).toEqual(columns[key]!.max);
    }
    expect(numbers(means.solarPowerW!.mean)).toContain(null);
  });

  it('leave out what the station never told, and greatest values nobody asked for', () => {
    const asked = { station: 'shed', fromMs: FROM_MS, toMs: FROM_MS + HOUR_MS, stepMs: 60_000 } as const;
    const means = filled().means({ ...asked, quantities: ['planeOfArrayWm2', 'solarPowerW'] });
    expect(Object.keys(means)).toEqual(['solarPowerW']);
    expect(means.solarPowerW!.max).toHaveLength(0);
    expect(openTestRecord(freshFolder()).means({ ...asked, quantities: ['solarPowerW'] })).toEqual({});
  });

  it('refuse what is no stretch of whole steps', () => {
    const record = filled();
    const asked = { station: 'shed', quantities: ['solarPowerW'], stepMs: 60_000 } as const;
    expect(() => record.means({ ...asked, fromMs: FROM_MS + 1, toMs: FROM_MS + HOUR_MS })).toThrow(/cannot be given/);
    expect(() => record.means({ ...asked, fromMs: FROM_MS, toMs: FROM_MS })).toThrow(/cannot be given/);
  });
});

describe('what a station said to hold its input back', () => {
  const saying = (...said: (States['inputLimitedBy'] | undefined)[]) => {
    const record = openTestRecord(freshFolder());
    const readings = said.map((inputLimitedBy, i) => {
      const states: States = inputLimitedBy === undefined ? {} : { inputLimitedBy };
      return reading(i + 1, { inputPowerW: 5 }, { at: FROM_MS + i * 20_000, monoMs: i * 20_000, states });
    });
    record.commit(batch(readings));
    return record;
  };
  const codeOf = (limit: (typeof INPUT_LIMITS)[number]) => INPUT_LIMITS.indexOf(limit) + 1;

  it('is told by the minute, as most of its readings said', () => {
    const record = saying(
      'nothing',
      'nothing',
      'full',
      'port',
      'full',
      'full',
      undefined,
      undefined,
      'cold',
      undefined,
    );
    expect([...record.limits('shed', FROM_MS, 5)!]).toEqual([codeOf('nothing'), codeOf('full'), codeOf('cold'), 0, 0]);
  });

  it('is null where no reading says anything of it', () => {
    expect(saying(undefined, undefined).limits('shed', FROM_MS, 2)).toBeNull();
    expect(saying('full').limits('shed', FROM_MS + 24 * HOUR_MS, 2)).toBeNull();
    expect(saying('full').limits('barn', FROM_MS, 2)).toBeNull();
  });
});
