/** Two questions in place of one: over a real record, and for counters. */
import { describe, expect, it } from 'vitest';
import { shiftDate, startOfDate } from '#energy/civil-day';
import type { LedgerAnswer } from '#messages';
import { ledgerAnswer } from '../../agent/commands/ledger-answer.ts';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { joined, stretchesOf } from '../../web/state/ledger-joined.ts';
import { recordedDays, shedSettings, ZONE } from '../support/ledger-record.ts';
import { ledgerSeason } from '../support/ledger-season.ts';
import { batch } from '../support/record.ts';

const TODAY = '2026-06-20';
const HOUR_MS = 3_600_000;
const atMs = startOfDate(TODAY, ZONE);

describe('a stretch of the ledger that reaches to today', () => {
  it('is asked in two, unless it is short or over', () => {
    expect(stretchesOf('2026-06-01', TODAY, TODAY)).toEqual([
      ['2026-06-01', '2026-06-19'],
      [TODAY, TODAY],
    ]);
    expect(stretchesOf('2026-06-15', TODAY, TODAY)).toEqual([['2026-06-15', TODAY]]);
    expect(stretchesOf(TODAY, TODAY, TODAY)).toEqual([[TODAY, TODAY]]);
    expect(stretchesOf('2026-05-01', '2026-05-31', TODAY)).toEqual([['2026-05-01', '2026-05-31']]);
  });

  it('is what one question would have brought', () => {
    const missing = (hour: number) => (hour >= 48 && hour < 72) || hour >= 10 * 24 + 14;
    const record = recordedDays({ from: shiftDate(TODAY, -10), days: 11, stepMs: 15 * 60_000, missing });
    const span = { station: 'shed', note: '' };
    record.commit(
      batch([], {
        facts: factsOfSettings(shedSettings({ paid: 300 }), { perKWh: 0.3, currency: 'EUR' }),
        spans: [
          { ...span, reason: 'lent', fromMs: atMs - 30 * HOUR_MS, toMs: atMs + HOUR_MS },
          { ...span, reason: 'panelsIn', fromMs: atMs + 2 * HOUR_MS, toMs: null },
          { ...span, reason: 'noReading', fromMs: atMs - 8 * 24 * HOUR_MS, toMs: atMs - 7 * 24 * HOUR_MS },
        ],
      }),
    );
    const answer = (from: string, to: string): LedgerAnswer =>
      JSON.parse(
        JSON.stringify(ledgerAnswer(record, { station: 'shed', zone: ZONE, from, to, nowMs: atMs + 14 * HOUR_MS })),
      );
    const from = shiftDate(TODAY, -9);
    const [over, running] = stretchesOf(from, TODAY, TODAY);
    const whole = joined(answer(...over), answer(...running!));
    expect(whole.days).toHaveLength(9);
    expect(whole).toEqual(answer(from, TODAY));
    // An answer that tells more than it was asked takes nothing twice.
    expect(joined(answer(...over), answer(from, TODAY))).toEqual(answer(from, TODAY));
  });

  it('counts what a counter gained over midnight once', () => {
    const apart = {
      quantity: 'solarEnergyWh' as const,
      countedWh: 100,
      integratedWh: 90,
      differenceWh: 10,
      differencePct: 11.11,
      allowedWh: 4,
      beyond: true,
    };
    const block = (fromAt: string, energyWh: number | null) => ({
      fromAt,
      toAt: '2026-06-20T01:00:00.000Z',
      quantity: 'solarEnergyWh' as const,
      energyWh,
    });
    const across = [block('2026-06-19T20:00:00.000Z', 7), block('2026-06-19T21:00:00.000Z', null)];
    const sum = { quantity: 'solarEnergyWh' as const, countedWh: 100, bridgedWh: 0, unknown: 1, apart };
    const part = (from: string, to: string, told: Partial<LedgerAnswer>) => ({ ...ledgerSeason(from, to), ...told });
    const over = part('2026-06-10', '2026-06-19', { bridges: across, counters: [{ ...sum, apart }] });
    const running = part(TODAY, TODAY, {
      bridges: across,
      counters: [{ ...sum, countedWh: 20, apart: { ...apart, countedWh: 20, integratedWh: 22, allowedWh: 5 } }],
    });
    expect(joined(over, running).counters).toEqual([
      {
        quantity: 'solarEnergyWh',
        countedWh: 127,
        bridgedWh: 7,
        unknown: 1,
        apart: {
          quantity: 'solarEnergyWh',
          countedWh: 120,
          integratedWh: 112,
          differenceWh: 8,
          differencePct: 7.14,
          allowedWh: 9,
          beyond: false,
        },
      },
    ]);
    expect(joined(over, running).bridges).toEqual(across);
    const alone = joined({ ...over, counters: [] }, { ...running, bridges: [] });
    expect(alone.counters).toEqual(running.counters);
  });
});
