/**
 * Keeps the past of the selected station for the drawing: asks the record once, adds what comes live, and after a
 * broken line asks for just the stretch that was missed. What cannot be had stays a gap.
 */
import { INPUT, LEVEL, OUTPUT } from '../charts/now-columns.ts';
import type { AgentApi } from './api.ts';
import { type Cell, cell } from './cell.ts';
import { addReading, addSeries, bucketStart, emptyHistory, forgetBefore, type History } from './history.ts';

const QUANTITIES = [LEVEL, INPUT, OUTPUT];
/** As far back as any drawing reaches. */
const BEHIND_MS = 18 * 3_600_000;
const STEP_MS = 60_000;

export interface Past {
  /** Counts answers of the record; live readings do not count. */
  readonly loads: Cell<number>;
  of(station: string): History | null;
  /** Loads what the record holds, or after a break what was missed. */
  load(station: string, nowAt: number): Promise<void>;
  add(station: string, at: number, values: Record<string, number | null>): void;
}

export function keepPast(api: Pick<AgentApi, 'series'>): Past {
  const held = new Map<string, History>();
  const loads = cell(0);

  return {
    loads,
    of: station => held.get(station) ?? null,
    async load(station, nowAt) {
      const startMs = Math.floor((nowAt - BEHIND_MS) / STEP_MS) * STEP_MS;
      let history = held.get(station);
      if (history === undefined) {
        history = emptyHistory(startMs, STEP_MS, QUANTITIES);
        held.set(station, history);
      }
      const fromMs = history.count === 0 ? startMs : Math.max(startMs, bucketStart(history, history.count - 1));
      if (nowAt <= fromMs) return;
      const points = Math.max(1, Math.ceil((nowAt - fromMs) / STEP_MS));
      const answer = await api.series(station, QUANTITIES, fromMs, nowAt, points);
      if (answer.ok) addSeries(history, answer.value);
      forgetBefore(history, startMs);
      loads.set(loads.value + 1);
    },
    add(station, at, values) {
      const history = held.get(station);
      if (history !== undefined) addReading(history, at, values);
    },
  };
}
