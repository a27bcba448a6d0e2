/** The Ledger's answer over days on record: real record, readings that follow the clear sky. */
import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { civilDayOf } from '#energy/civil-day';
import { LedgerAnswer } from '#messages';
import { ledgerAnswer } from '../../agent/commands/ledger-answer.ts';
import { recordedDays, ZONE } from '../support/ledger-record.ts';

const DAY = civilDayOf(Date.parse('2026-06-21T12:00:00Z'), ZONE);

describe('the ledger', () => {
  it('is what its schema says, and its causes and harvest add up', () => {
    const { record, facts } = recordedDays({ first: DAY, days: 3 });
    const answer = ledgerAnswer(record, {
      station: 'shed',
      zone: ZONE,
      from: '0001-01-01',
      to: '9999-12-31',
      nowMs: DAY.endMs + 10 * 86_400_000,
      facts,
    });
    v.parse(LedgerAnswer, answer);
    expect(answer.days.length).toBe(3);
  });
});
