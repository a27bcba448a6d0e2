/** What is known of damage: the sign of a check beside a running agent, and what an earlier start rescued. */
import { existsSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { WattkeepError } from '#kit';
import type { Connection } from '../kept.ts';

export interface Rescued {
  /** UTC epoch ms. */
  at: number;
  /** Name of the damaged file in the folder. */
  keptAs: string;
  readings: number;
  /** Stored blocks, of at most an hour each, that could not be read. */
  lostBlocks: number;
}

/** Key of `meta`: JSON of `Rescued`. */
export const RESCUED_KEY = 'rescued';
/** The owner is told for so long. */
const TOLD_MS = 7 * 86_400_000;

export const damageSign = (dir: string): string => join(dir, 'damaged');

/** A start finds what SQLite finds, and that in small files only: the sign makes the next one rescue what else was met. */
export function leaveDamageSign(dir: string, finding: string): void {
  writeFileSync(damageSign(dir), `${finding}\n`, { mode: 0o600 });
}

/** As leaveDamageSign, where that is what a failure tells; of a disk that takes nothing the failure alone tells. */
export function signed(failure: WattkeepError, dir: string): WattkeepError {
  if (failure.code === 'RECORD_DAMAGED' && !hasDamageSign(dir))
    try {
      leaveDamageSign(dir, failure.message);
    } catch {
      // What the caller is told is what counts.
    }
  return failure;
}

export const hasDamageSign = (dir: string): boolean => existsSync(damageSign(dir));

/** What the last rescue did, while it is still news. */
export function recentRescue(db: Connection, nowMs: number): Rescued | null {
  const text = db.prepare<[string], string>('SELECT value FROM meta WHERE key = ?').pluck().get(RESCUED_KEY);
  if (text === undefined) return null;
  const rescued = JSON.parse(text) as Rescued;
  return nowMs - rescued.at < TOLD_MS ? rescued : null;
}
