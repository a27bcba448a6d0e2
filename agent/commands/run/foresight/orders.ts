/** What the agent tells the process that looks ahead, as JSON in frames of the reading desk's kind. Instants epoch ms. */
import type { StationFacts } from '../../../derive/facts.ts';
import type { Told } from '../../../derive/told.ts';
import type { OutlastOrder } from './port.ts';

export type ForesightOrder =
  /** `dir`: folder of the record that holds its past. */
  | { act: 'seat'; station: string; facts: StationFacts; dir: string; demo: boolean; nowMs: number }
  | { act: 'leave'; station: string }
  | { act: 'facts'; station: string; facts: StationFacts }
  | { act: 'readings'; readings: [station: string, told: Told][] }
  /** Answered by JSON of an Ahead. */
  | { act: 'ahead'; station: string; atMs: number }
  /** Answered by JSON of an OutlastAnswer. */
  | { act: 'outlast'; order: OutlastOrder }
  /** Answered by JSON of a PlanKnown. */
  | { act: 'planKnown'; station: string; atMs: number }
  /** Answered by JSON of a RuntimeMemory. */
  | { act: 'learned'; station: string };

/** The panels of a station carried about daily fill some hundred kilobytes in ten years. */
export const MAX_ORDER_BYTES = 4 * 1024 * 1024;
