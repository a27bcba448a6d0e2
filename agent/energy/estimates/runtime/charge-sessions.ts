/**
 * Full charges as they went, kept per source: how long each percent took against the percents before the fall. What the
 * next one will look like is drawn from them, the rest at the top included. And the charge that runs, as far as it came.
 */
import { type ChargeMinutes, type ChargeSession, FIRST_PCT } from './seen-taper.ts';

/** Percents over which full power is taken from. */
const PLAIN_FROM_PCT = 60;
const PLAIN_LEAST = 3;
const RESTS_PCT = 99;
const KEPT = 8;
const MINUTE_MS = 60_000;

export type ChargerSource = 'wall' | 'vehicle' | 'generator' | 'unknown';
export type SessionsBySource = Readonly<Partial<Record<ChargerSource, readonly ChargeSession[]>>>;

export function createChargeSessions(memory: SessionsBySource) {
  const sessions: Partial<Record<ChargerSource, ChargeSession[]>> = {};
  for (const [source, kept] of Object.entries(memory)) sessions[source as ChargerSource] = [...kept];
  /** Minutes spent at each shown percent of the charge that runs, and watt-minutes that came in meanwhile. */
  let minutes = new Float64Array(101);
  let wattMinutes = new Float64Array(101);
  let firstPct = 0;
  let source: ChargerSource | null = null;
  let last: { at: number; pct: number; powerW: number } | null = null;

  const begin = (next: ChargerSource | null, pct: number) => {
    source = next;
    firstPct = pct;
    minutes = new Float64Array(101);
    wattMinutes = new Float64Array(101);
  };

  return {
    /** @param fedBy what charges now besides the sun; null where nothing does @param powerW how much comes from it */
    see(at: number, shownPct: number, fedBy: ChargerSource | null, powerW: number): void {
      const pct = Math.min(100, Math.max(0, Math.round(shownPct)));
      // A station that rests at the top may take nothing.
      const from = fedBy === null && last !== null && pct >= last.pct && pct >= RESTS_PCT ? source : fedBy;
      if (from !== source || (last !== null && pct < last.pct)) begin(from, pct);
      // Time belongs to the percent shown before; the percent a charge began in is not whole.
      if (last !== null && source !== null && at - last.at < 5 * MINUTE_MS) {
        const gone = (at - last.at) / MINUTE_MS;
        minutes[last.pct]! += gone;
        wattMinutes[last.pct]! += gone * last.powerW;
      }
      if (source !== null && last !== null && last.pct < 100 && pct === 100) {
        const session = sessionOf(minutes);
        if (session !== null) sessions[source] = [...(sessions[source] ?? []), session].slice(-KEPT);
        begin(source, pct);
      }
      last = { at, pct, powerW };
    },
    of: (from: ChargerSource): readonly ChargeSession[] => sessions[from] ?? [],
    /** Mean power over each percent of the charge that runs, W. */
    powers: (): { pct: number; powerW: number }[] =>
      Array.from(minutes.keys()).flatMap(pct =>
        minutes[pct]! > 0 ? { pct, powerW: wattMinutes[pct]! / minutes[pct]! } : [],
      ),
    /** null where it began too late to tell what is usual. */
    running(): ChargeMinutes | null {
      const usualMin = usualOf(minutes.subarray(0, last?.pct ?? 0), firstPct);
      if (usualMin === null || last === null) return null;
      return { minutes: minutes.map((m, pct) => (pct === firstPct ? 0 : m)), shownPct: last.pct, usualMin };
    },
    memory: (): SessionsBySource => ({ ...sessions }),
  };
}

/** Median minutes of the percents before the fall that were gone through whole; null with too few. */
function usualOf(minutes: Float64Array, firstPct: number): number | null {
  const plain = Array.from(minutes.subarray(PLAIN_FROM_PCT, FIRST_PCT))
    .filter((m, i) => m > 0 && i + PLAIN_FROM_PCT !== firstPct)
    .sort((a, b) => a - b);
  return plain.length < PLAIN_LEAST ? null : plain[plain.length >> 1]!;
}

/** null where the charge began too late to tell its full power. */
function sessionOf(minutes: Float64Array): ChargeSession | null {
  const usual = usualOf(minutes, -1);
  if (usual === null) return null;
  return {
    shares: Array.from(minutes.subarray(FIRST_PCT, 100), m => (m > 0 ? Math.min(1, usual / m) : 1)),
  };
}
