/** Readings, batches and data folders for tests of the record. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import type { Quantities, Reading } from '#kit';
import type { Batch, DayDelta } from '#messages';
import { type OpenedRecord, type OpenOptions, openRecord } from '../../agent/store/open.ts';

/** A quarter past nine on a summer's morning, UTC. */
export const START_AT = Date.UTC(2026, 5, 3, 9, 15);

/** An empty folder that goes away with the test. */
export function freshFolder(): string {
  const dir = mkdtempSync(join(tmpdir(), 'wattkeep-record-'));
  onTestFinished(() => rmSync(dir, { recursive: true, force: true }));
  return join(dir, 'data');
}

export function openTestRecord(dir: string, options: Partial<OpenOptions> = {}): OpenedRecord {
  const record = openRecord(dir, { nowMs: () => START_AT, commitIntervalMs: 10_000, ...options });
  onTestFinished(() => record.close());
  return record;
}

export function reading(seq: number, quantities: Quantities, more: Partial<Reading> = {}): Reading {
  return {
    station: 'shed',
    session: 's1',
    seq,
    monoMs: seq * 1000,
    at: START_AT + seq * 1000,
    clock: 'synced',
    quantities,
    states: {},
    quality: 'good',
    reasons: {},
    ...more,
  };
}

export function batch(readings: readonly Reading[], more: Partial<Batch> = {}): Batch {
  return { readings, days: [], cursors: [], outages: [], spans: [], facts: [], ...more };
}

export function dayDelta(more: Partial<DayDelta> = {}): DayDelta {
  return {
    station: 'shed',
    date: '2026-06-03',
    zone: 'Europe/Berlin',
    startMs: Date.UTC(2026, 5, 2, 22),
    endMs: Date.UTC(2026, 5, 3, 22),
    solarMilliJ: 0,
    inputMilliJ: 0,
    outputMilliJ: 0,
    coveredMs: 0,
    gapMs: 0,
    solarPeakW: 0,
    stateOfChargeMinPct: null,
    stateOfChargeMaxPct: null,
    ...more,
  };
}
