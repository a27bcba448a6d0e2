/**
 * The plant's own true energies, kept as running totals at the end of every step, so that any span can be asked for.
 * Wh. Between steps the totals are linear (power is constant within a step). The last day and more of short steps is
 * kept step by step, the rest by the minute: a span that begins inside such a minute takes its share of that minute.
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
  /** Adds a step that ended at `toMs` with these mean powers, W, in the order of LEDGER_COLUMNS. */
  add(toMs: number, dtS: number, powersW: Float64Array): void;
  /** Energy in [fromMs, toMs), the part of it that the plant has lived through. */
  between(fromMs: number, toMs: number): Energies & { coveredMs: number };
  total(): Energies;
  /** One running total, Wh. */
  totalOf(column: LedgerColumn): number;
}

const WIDTH = LEDGER_COLUMNS.length + 1;
const CHUNK_ROWS = 4096;
const CHUNKS_KEPT = 40;
const COARSE_MS = 60_000;
/** Longer steps are kept by the minute only. */
export const FINE_STEP_S = 2;

/** Rows of (ms, totals…) in order of time, in chunks so that nothing is copied as they grow; the oldest chunk goes first. */
function createRows(chunksKept = CHUNKS_KEPT) {
  const chunks: Float64Array[] = [];
  let inLast = CHUNK_ROWS;
  const count = () => (chunks.length - 1) * CHUNK_ROWS + inLast;
  const cell = (row: number, column: number): number =>
    chunks[Math.floor(row / CHUNK_ROWS)]![(row % CHUNK_ROWS) * WIDTH + column]!;
  return {
    firstMs: () => (chunks.length === 0 ? Number.POSITIVE_INFINITY : cell(0, 0)),
    lastMs: () => cell(count() - 1, 0),
    push(ms: number, totals: readonly number[]) {
      if (inLast === CHUNK_ROWS) {
        if (chunks.length === chunksKept) chunks.shift();
        chunks.push(new Float64Array(CHUNK_ROWS * WIDTH));
        inLast = 0;
      }
      const chunk = chunks[chunks.length - 1]!;
      const start = inLast * WIDTH;
      chunk[start] = ms;
      for (let k = 1; k < WIDTH; k++) chunk[start + k] = totals[k - 1]!;
      inLast++;
    },
    clear() {
      chunks.length = 0;
      inLast = CHUNK_ROWS;
    },
    /** Total of a column at an instant inside the rows, joined linearly. */
    at(ms: number, column: number): number {
      let low = 0;
      let high = count() - 1;
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (cell(middle, 0) <= ms) low = middle;
        else high = middle;
      }
      const [a, b] = [cell(low, 0), cell(high, 0)];
      const [from, to] = [cell(low, column + 1), cell(high, column + 1)];
      return b === a ? to : from + (to - from) * Math.min(1, Math.max(0, (ms - a) / (b - a)));
    },
  };
}

/**
 * An empty ledger that begins at `startMs`.
 *
 * @param days the last ones that can be asked for; at least three. The running totals are of all time
 */
export function createLedger(startMs: number, days?: number): Ledger {
  const totals = LEDGER_COLUMNS.map(() => 0);
  let nowMs = startMs;
  const fine = createRows();
  const coarse = createRows(days === undefined ? CHUNKS_KEPT : Math.ceil((days * 1440) / CHUNK_ROWS) + 1);
  coarse.push(startMs, totals);
  const energies = (value: (column: number) => number): Energies =>
    Object.fromEntries(LEDGER_COLUMNS.map((name, column) => [name, value(column)])) as Energies;
  const at = (ms: number, column: number): number => {
    if (ms >= fine.firstMs()) return fine.at(ms, column);
    const lastMs = coarse.lastMs();
    if (ms <= lastMs) return coarse.at(ms, column);
    const from = coarse.at(lastMs, column);
    return from + ((totals[column]! - from) * (ms - lastMs)) / (nowMs - lastMs);
  };
  return {
    add(toMs, dtS, powersW) {
      if (dtS > FINE_STEP_S) fine.clear();
      else if (fine.firstMs() === Number.POSITIVE_INFINITY) fine.push(nowMs, totals);
      for (let k = 0; k < LEDGER_COLUMNS.length; k++) totals[k]! += (powersW[k]! * dtS) / 3600;
      nowMs = toMs;
      if (dtS <= FINE_STEP_S) fine.push(toMs, totals);
      if (toMs - coarse.lastMs() >= COARSE_MS) coarse.push(toMs, totals);
    },
    between(fromMs, toMs) {
      const from = Math.max(fromMs, coarse.firstMs());
      const to = Math.max(from, Math.min(toMs, nowMs));
      return { ...energies(column => at(to, column) - at(from, column)), coveredMs: to - from };
    },
    total: () => energies(column => totals[column]!),
    totalOf: column => totals[LEDGER_COLUMNS.indexOf(column)]!,
  };
}
