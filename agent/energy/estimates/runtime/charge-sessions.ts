/**
 * Full charges as they went, kept per source: how long each percent took against the percents before the fall. What the
 * next one will look like is drawn from them, the rest at the top included.
 */
import { type ChargeSession, FIRST_PCT } from './taper.ts';

/** Percents over which full power is taken from. */
const PLAIN_FROM_PCT = 60;
const KEPT = 8;
const MINUTE_MS = 60_000;

export type ChargerSource = 'wall' | 'vehicle' | 'generator' | 'unknown';
export type SessionsBySource = Readonly<Partial<Record<ChargerSource, readonly ChargeSession[]>>>;

export function createChargeSessions(memory: SessionsBySource) {
  const sessions: Partial<Record<ChargerSource, ChargeSession[]>> = {};
  for (const [source, kept] of Object.entries(memory)) sessions[source as ChargerSource] = [...kept];
  /** Minutes spent at each shown percent of the charge that runs. */
  let minutes = new Float64Array(101);
  let source: ChargerSource | null = null;
  let last: { at: number; pct: number } | null = null;

  const begin = (next: ChargerSource | null) => {
    source = next;
    minutes = new Float64Array(101);
  };

  return {
    /** @param from what charges now besides the sun; null where nothing does */
    see(at: number, pct: number, from: ChargerSource | null): void {
      if (from !== source || (last !== null && pct < last.pct)) begin(from);
      // Time belongs to the percent shown before; the percent a charge began in is not whole.
      if (last !== null && source !== null && at - last.at < 5 * MINUTE_MS)
        minutes[last.pct]! += (at - last.at) / MINUTE_MS;
      if (source !== null && last !== null && last.pct < 100 && pct === 100) {
        const session = sessionOf(minutes);
        if (session !== null) sessions[source] = [...(sessions[source] ?? []), session].slice(-KEPT);
        begin(source);
      }
      last = { at, pct: Math.min(100, Math.max(0, Math.round(pct))) };
    },
    of: (from: ChargerSource): readonly ChargeSession[] => sessions[from] ?? [],
    memory: (): SessionsBySource => ({ ...sessions }),
  };
}

/** null where the charge began too late to tell its full power. */
function sessionOf(minutes: Float64Array): ChargeSession | null {
  const plain = Array.from(minutes.subarray(PLAIN_FROM_PCT, FIRST_PCT))
    .filter(m => m > 0)
    .sort((a, b) => a - b);
  if (plain.length < 5) return null;
  const usual = plain[plain.length >> 1]!;
  return {
    shares: Array.from(minutes.subarray(FIRST_PCT, 100), m => (m > 0 ? Math.min(1, usual / m) : 1)),
  };
}
