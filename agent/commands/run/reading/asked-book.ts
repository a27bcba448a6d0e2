/**
 * Which stretches of the Ledger were asked lately, so that they can be worked out ahead of the next time: a small file
 * that may be lost. Civil dates; a stretch up to the day before today goes on with the days.
 */
import { mkdir, readFile, rename, writeFile } from 'node:fs/promises';
import { join } from 'node:path';
import { civilDate, shiftDate } from '#energy/civil-day';
import type { DaysAsked } from './kept-ledger.ts';

const MOST = 8;
const LATELY_MS = 14 * 86_400_000;
/** Noted so lately it need not be again. */
const AGAIN_MS = 86_400_000;
const FILE = 'asked.json';

interface Noted extends Omit<DaysAsked, 'to'> {
  /** null: up to the last day that is over. */
  to: string | null;
  askedAt: number;
}

export interface AskedBook {
  readonly dir: string;
  note(asked: DaysAsked, nowMs: number): Promise<void>;
  /** With the dates of now; newest first. */
  lately(nowMs: number): Promise<DaysAsked[]>;
}

const lastDay = (nowMs: number, zone: string): string => shiftDate(civilDate(nowMs, zone), -1);
const keyOf = ({ station, zone, from, to }: Noted): string => JSON.stringify([station, zone, from, to]);
const isNoted = (one: unknown): one is Noted => {
  const { station, zone, from, to, askedAt } = (one ?? {}) as Partial<Record<keyof Noted, unknown>>;
  const texts = [station, zone, from].every(value => typeof value === 'string');
  return texts && (to === null || typeof to === 'string') && typeof askedAt === 'number';
};

export function askedBook(dir: string): AskedBook {
  const path = join(dir, FILE);
  let known: Promise<Noted[]> | null = null;
  const read = async (): Promise<Noted[]> => {
    try {
      const said: unknown = JSON.parse(await readFile(path, 'utf8'));
      return Array.isArray(said) ? said.filter(isNoted) : [];
    } catch {
      return [];
    }
  };
  return {
    dir,
    async note({ station, zone, from, to }, nowMs) {
      known ??= read();
      const noted: Noted = { station, zone, from, to: to === lastDay(nowMs, zone) ? null : to, askedAt: nowMs };
      const before = (await known).find(one => keyOf(one) === keyOf(noted));
      if (before !== undefined && nowMs - before.askedAt < AGAIN_MS) return;
      const others = (await known).filter(one => one !== before && nowMs - one.askedAt < LATELY_MS);
      const all = [noted, ...others].slice(0, MOST);
      known = Promise.resolve(all);
      try {
        await mkdir(dir, { recursive: true, mode: 0o700 });
        await writeFile(`${path}.new`, JSON.stringify(all), { mode: 0o600 });
        await rename(`${path}.new`, path);
      } catch {
        // A disk that takes nothing forgets it with the next start.
      }
    },
    async lately(nowMs) {
      known ??= read();
      return (await known)
        .filter(({ askedAt }) => nowMs - askedAt < LATELY_MS)
        .map(({ station, zone, from, to }) => ({ station, zone, from, to: to ?? lastDay(nowMs, zone) }));
    },
  };
}
