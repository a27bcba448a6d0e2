/**
 * The plant's own true energies, kept as running totals at the end of every step, so that any span can be asked for.
 * Wh. Between steps the totals are linear (power is constant within a step). The last day and more is kept step by
 * step, what is older by the minute: a span that begins inside an older minute is off by at most that minute.
 */

export const LEDGER_COLUMNS = [
  'solarWh',
  'chargerWh',
  'inputWh',
  'outputWh',
  'acOutputWh',
  'dcOutputWh',
  'packInWh',
  'packOutWh',
  'lossWh',
  'solarRefusedWh',
] as const;
export type LedgerColumn = (typeof LEDGER_COLUMNS)[number];
export type Energies = Record<LedgerColumn, number>;

export interface Ledger {
  /** Adds a step that ended at `toMs` with these mean powers, W (named by their energies). */
  add(toMs: number, dtS: number, powers: Energies): void;
  /** Energy in [fromMs, toMs), the part of it that the plant has lived through. */
  between(fromMs: number, toMs: number): Energies & { coveredMs: number };
  total(): Energies;
}

const WIDTH = LEDGER_COLUMNS.length + 1;
const FINE_ROWS = 200_000;
const COARSE_MS = 60_000;

/** Rows of (ms, totals…) in order of time, bounded: the older half goes when full. */
function createRows(limit: number) {
  let rows = new Float64Array(4096 * WIDTH);
  let count = 0;
  const grow = () => {
    if (count < limit) {
      const wider = new Float64Array(Math.min(limit, count * 2) * WIDTH);
      wider.set(rows);
      rows = wider;
      return;
    }
    const keep = Math.floor(limit / 2);
    rows.copyWithin(0, (count - keep) * WIDTH, count * WIDTH);
    count = keep;
  };
  return {
    firstMs: () => (count === 0 ? Number.POSITIVE_INFINITY : rows[0]!),
    lastMs: () => (count === 0 ? Number.NEGATIVE_INFINITY : rows[(count - 1) * WIDTH]!),
    push(ms: number, totals: Float64Array) {
      if (count * WIDTH === rows.length) grow();
      rows[count * WIDTH] = ms;
      rows.set(totals, count * WIDTH + 1);
      count++;
    },
    /** Total of a column at an instant inside the rows, joined linearly. */
    at(ms: number, column: number): number {
      let low = 0;
      let high = count - 1;
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (rows[middle * WIDTH]! <= ms) low = middle;
        else high = middle;
      }
      const [a, b] = [rows[low * WIDTH]!, rows[high * WIDTH]!];
      const [from, to] = [rows[low * WIDTH + 1 + column]!, rows[high * WIDTH + 1 + column]!];
      return b === a ? to : from + (to - from) * Math.min(1, Math.max(0, (ms - a) / (b - a)));
    },
  };
}

/** An empty ledger that begins at `startMs`. */
export function createLedger(startMs: number): Ledger {
  const totals = new Float64Array(LEDGER_COLUMNS.length);
  const fine = createRows(FINE_ROWS);
  const coarse = createRows(FINE_ROWS);
  fine.push(startMs, totals);
  coarse.push(startMs, totals);
  const energies = (value: (column: number) => number): Energies =>
    Object.fromEntries(LEDGER_COLUMNS.map((name, column) => [name, value(column)])) as Energies;
  return {
    add(toMs, dtS, powers) {
      for (let k = 0; k < LEDGER_COLUMNS.length; k++) totals[k]! += (powers[LEDGER_COLUMNS[k]!] * dtS) / 3600;
      fine.push(toMs, totals);
      if (toMs - coarse.lastMs() >= COARSE_MS) coarse.push(toMs, totals);
    },
    between(fromMs, toMs) {
      const from = Math.max(fromMs, coarse.firstMs());
      const to = Math.max(from, Math.min(toMs, fine.lastMs()));
      const at = (ms: number, column: number) => (ms >= fine.firstMs() ? fine : coarse).at(ms, column);
      return { ...energies(column => at(to, column) - at(from, column)), coveredMs: to - from };
    },
    total: () => energies(column => totals[column]!),
  };
}
