/**
 * Asks the agent for a stretch of the ledger. The answer is checked like any other, but for the carpet: of its tens of
 * thousands of numbers only the kind is looked at, in one plain loop.
 */
import * as v from 'valibot';
import { LedgerAnswer } from '#messages';
import type { AgentApi, Answer } from './api.ts';

type Rows = LedgerAnswer['carpet']['rows'];

const areRows = (rows: unknown): rows is Rows =>
  Array.isArray(rows) &&
  rows.every(row => Array.isArray(row) && row.every(watts => watts === null || typeof watts === 'number'));

const Heard = v.object({
  ...LedgerAnswer.entries,
  carpet: v.object({ stepMin: v.pipe(v.number(), v.minValue(1), v.maxValue(1440)), rows: v.custom<Rows>(areRows) }),
});

export const ledgerAddress = (station: string, from: string, to: string): string =>
  `/api/stations/${encodeURIComponent(station)}/ledger?from=${from}&to=${to}`;

/** @param from first civil date. @param to last one, included */
export const askLedger = (api: AgentApi, station: string, from: string, to: string): Promise<Answer<LedgerAnswer>> =>
  api.ask(Heard, ledgerAddress(station, from, to));
