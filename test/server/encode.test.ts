import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { WireDay, WireReading } from '#messages';
import { encodeDay, encodeReading, encodeSaved, toWh } from '../../agent/server/encode.ts';
import { reading, recordOfOneDay } from '../support/server-stage.ts';

const [day] = recordOfOneDay().days('shed', '2026-06-21', '2026-06-21');

describe('what travels', () => {
  it('writes instants in UTC and keeps a missing value missing, with its reason', () => {
    const wire = encodeReading(
      reading(1, Date.UTC(2026, 5, 21, 12), {
        quantities: { inputPowerW: null, outputPowerW: 0 },
        reasons: { inputPowerW: 'notAvailable' },
        typed: true,
      }),
    );
    expect(v.parse(WireReading, wire)).toMatchObject({
      at: '2026-06-21T12:00:00.000Z',
      quantities: { inputPowerW: null, outputPowerW: 0 },
      reasons: { inputPowerW: 'notAvailable' },
      typed: true,
    });
    expect('typed' in encodeReading(reading(2, 0))).toBe(false);
  });

  it('counts 3 600 000 mJ as one watt-hour', () => {
    expect(toWh(3_600_000)).toBe(1);
    expect(v.parse(WireDay, encodeDay(day!, day!.endMs))).toMatchObject({ solarWh: 800, inputWh: 900, outputWh: 450 });
  });

  it('measures the coverage of a running day by what has passed of it', () => {
    const atNoon = day!.startMs + 46_800_000;
    expect(encodeDay(day!, atNoon).coveragePct).toBeCloseTo((100 * 39_000_000) / 46_800_000, 10);
    expect(encodeDay(day!, day!.endMs + 1e9).coveragePct).toBeCloseTo((100 * 39_000_000) / 86_400_000, 10);
    expect(encodeDay(day!, day!.startMs).coveragePct).toBe(0);
  });

  it('says in ISO since when saving fails', () => {
    const saved = { lastSavedAt: 0, commitIntervalMs: 10_000, trouble: 'DISK_FULL' as const, troubleSinceAt: 1000 };
    expect(encodeSaved(saved)).toMatchObject({
      lastSavedAt: '1970-01-01T00:00:00.000Z',
      troubleSinceAt: '1970-01-01T00:00:01.000Z',
    });
  });
});
