/**
 * A load that switches itself and has not drawn for three of its cycles: the outlets may have switched off, or it was
 * unplugged. Only the record tells: what was not recorded is not quiet. What cycles now and then, such as a heater that
 * is used of an evening, is quiet by nature: unless the owner marked it, it must have cycled for long before.
 */
import { indexAt, type Past } from '../runtime/minutes.ts';
import type { PluggedIn } from './plugged-in.ts';

const CYCLES = 3;
const LONG_STARTS = 10;
/** Share of the quiet time that must have been recorded. */
const RECORDED = 0.8;

export interface GoneQuiet {
  load: PluggedIn;
  /** Minutes since it last drew. */
  quietMin: number;
}

/**
 * @param nowMinute minutes since the epoch
 * @param mustStayOn what the owner marked so
 */
export const goneQuiet = (
  loads: readonly PluggedIn[],
  past: Past,
  nowMinute: number,
  mustStayOn: (load: PluggedIn) => boolean,
): GoneQuiet[] =>
  loads.flatMap(load => {
    if (load.kind !== 'cycling' || load.on || load.cycleMin === null) return [];
    if (load.starts < LONG_STARTS && !mustStayOn(load)) return [];
    const quietMin = nowMinute - load.lastMinute;
    const recorded = past.count - indexAt(past, load.lastMinute + 1);
    return quietMin > CYCLES * load.cycleMin && recorded >= RECORDED * (quietMin - 1) ? [{ load, quietMin }] : [];
  });
