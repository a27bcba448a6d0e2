/**
 * When the wall went and when it came back, from the mains state of readings. An outage begins where the mains was seen
 * on and then off; never having seen it on is no outage, and not knowing changes nothing.
 */
import type { Reading } from '#kit';

export interface OutageState {
  /** Mains as last known. */
  onMains: boolean | null;
  /** The outage under way. */
  open: OpenOutage | null;
}

export interface OpenOutage {
  station: string;
  startedAt: number;
  endedAt: number | null;
  startPct: number | null;
  endPct: number | null;
  outputMilliJ: number;
}

export const NO_OUTAGE: OutageState = { onMains: null, open: null };

/**
 * @param outputMilliJ what went out since the reading before
 * @returns the next state, and the outage to record where one began, grew or ended
 */
export function followOutage(
  state: OutageState,
  reading: Reading,
  outputMilliJ: number,
): { state: OutageState; record: OpenOutage | null } {
  const said = reading.states.onMains;
  const onMains = typeof said === 'boolean' ? said : state.onMains;
  const pct = reading.quantities.stateOfChargePct ?? null;
  if (state.open !== null) {
    const grown = {
      ...state.open,
      endPct: pct ?? state.open.endPct,
      outputMilliJ: state.open.outputMilliJ + outputMilliJ,
    };
    if (onMains === true) return { state: { onMains, open: null }, record: { ...grown, endedAt: reading.at } };
    return { state: { onMains, open: grown }, record: grown };
  }
  if (state.onMains === true && onMains === false) {
    const begun = {
      station: reading.station,
      startedAt: reading.at,
      endedAt: null,
      startPct: pct,
      endPct: pct,
      outputMilliJ: 0,
    };
    return { state: { onMains, open: begun }, record: begun };
  }
  return { state: { onMains, open: null }, record: null };
}
