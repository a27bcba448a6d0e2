/**
 * What is remembered of a station's accepted readings, so that other units are noticed, also by the next run of the
 * agent: a station and a computer are often switched off together.
 */

export interface UnitHistory {
  /** The last accepted values of each quantity, and watts ÷ (volts × amperes) of each group. */
  readonly values: ReadonlyMap<string, readonly number[]>;
  /** Monotonic; long ago where it was another run. */
  readonly atMs: number;
  /** Readings in a row that looked changed. */
  readonly doubted: number;
}

export const NO_UNIT_HISTORY: UnitHistory = { values: new Map(), atMs: Number.NEGATIVE_INFINITY, doubted: 0 };

const KEPT = 15;
const MAX_NAMES = 200;

/** The history with one more accepted reading's values. */
export function keptWith(history: UnitHistory, now: ReadonlyMap<string, number>, nowMs: number): UnitHistory {
  const values = new Map(history.values);
  for (const [name, value] of now) values.set(name, [...(values.get(name) ?? []), value].slice(-KEPT));
  return { values, atMs: nowMs, doubted: 0 };
}

/** To be kept as JSON. */
export const packUnitHistory = ({ values }: UnitHistory): Record<string, readonly number[]> =>
  Object.fromEntries(values);

/** What `packUnitHistory` gave, read from a file; what makes no sense is left out. */
export function unpackUnitHistory(kept: unknown): UnitHistory {
  if (typeof kept !== 'object' || kept === null) return NO_UNIT_HISTORY;
  const values = new Map<string, readonly number[]>();
  for (const [name, list] of Object.entries(kept).slice(0, MAX_NAMES)) {
    if (Array.isArray(list) && list.every(Number.isFinite)) values.set(name, list.slice(-KEPT) as number[]);
  }
  return { ...NO_UNIT_HISTORY, values };
}
