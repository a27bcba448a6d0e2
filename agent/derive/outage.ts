/**
 * When the wall went and when it came back, from the mains state of readings, and what is told of it afterwards: what
 * was used and gathered, how low it went, what was promised first and when the floor came. An outage begins where the
 * mains was seen on and then off; never having seen it on is no outage, and not knowing changes nothing.
 */
import type { Reading } from '#kit';

export interface OutageState {
  /** Mains as last known. */
  onMains: boolean | null;
  /** The outage under way. */
  open: OpenOutage | null;
}

/** Instants epoch ms, energies mJ. */
export interface OpenOutage {
  station: string;
  startedAt: number;
  endedAt: number | null;
  startPct: number | null;
  endPct: number | null;
  lowestPct: number | null;
  outputMilliJ: number;
  inputMilliJ: number;
  /** When the first end was told, and the end it told: careful and middle. null where none was. */
  promisedAt: number | null;
  promisedP10At: number | null;
  promisedP50At: number | null;
  /** When the floor was first shown. */
  floorAt: number | null;
}

export const NO_OUTAGE: OutageState = { onMains: null, open: null };

/** What flowed since the reading before, mJ. */
export interface Flowed {
  outputMilliJ: number;
  inputMilliJ: number;
}

/** @returns the next state, and the outage to record where one began, grew or ended */
export function followOutage(
  state: OutageState,
  reading: Reading,
  flowed: Flowed,
  floorPct: number,
): { state: OutageState; record: OpenOutage | null } {
  const said = reading.states.onMains;
  const onMains = typeof said === 'boolean' ? said : state.onMains;
  const pct = reading.quantities.stateOfChargePct ?? null;
  const floorAt = pct !== null && pct <= floorPct ? reading.at : null;
  if (state.open !== null) {
    const grown: OpenOutage = {
      ...state.open,
      endPct: pct ?? state.open.endPct,
      lowestPct: lower(state.open.lowestPct, pct),
      outputMilliJ: state.open.outputMilliJ + flowed.outputMilliJ,
      inputMilliJ: state.open.inputMilliJ + flowed.inputMilliJ,
      floorAt: state.open.floorAt ?? floorAt,
    };
    if (onMains === true) return { state: { onMains, open: null }, record: { ...grown, endedAt: reading.at } };
    return { state: { onMains, open: grown }, record: grown };
  }
  if (state.onMains === true && onMains === false) {
    const begun: OpenOutage = {
      station: reading.station,
      startedAt: reading.at,
      endedAt: null,
      startPct: pct,
      endPct: pct,
      lowestPct: pct,
      outputMilliJ: 0,
      inputMilliJ: 0,
      promisedAt: null,
      promisedP10At: null,
      promisedP50At: null,
      floorAt,
    };
    return { state: { onMains, open: begun }, record: begun };
  }
  return { state: { onMains, open: null }, record: null };
}

const lower = (a: number | null, b: number | null): number | null => (a === null ? b : b === null ? a : Math.min(a, b));

/** Notes the first end that is told of an outage; the ones after it change nothing. It is recorded with the next reading. */
export function promised(
  state: OutageState,
  told: { madeAt: number; onMains: boolean; emptyAt: { p10: number; p50: number | null } | null },
): OutageState {
  const { open } = state;
  if (open === null || open.promisedAt !== null || told.onMains || told.emptyAt === null) return state;
  if (told.madeAt < open.startedAt) return state;
  const { p10, p50 } = told.emptyAt;
  return { ...state, open: { ...open, promisedAt: told.madeAt, promisedP10At: p10, promisedP50At: p50 } };
}
