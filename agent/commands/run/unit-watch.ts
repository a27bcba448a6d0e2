/**
 * Stands between a station and everything that counts: a reading whose units look changed is passed on with nothing in
 * it, until the owner has said that the station really tells other units now.
 */
import {
  type DecodedReading,
  NO_UNIT_HISTORY,
  packUnitHistory,
  refuseUnits,
  type UnitChange,
  type UnitHistory,
  unpackUnitHistory,
  watchUnits,
} from '#kit';

export interface UnitWatch {
  /** The reading itself, or what may be passed on of it. `monoMs`: when it was read. */
  check<R extends DecodedReading>(reading: R, monoMs: number): R;
  /** What the owner is to be asked, or null. One odd frame is refused and nobody is asked. */
  asked(): UnitChange | null;
  /** The owner says so: what comes now is taken as it is. */
  confirm(): void;
  /** To be kept as JSON: a station and a computer are often switched off together. */
  packed(): unknown;
}

/** @param kept what `packed` gave, or anything else */
export function createUnitWatch(kept: unknown): UnitWatch {
  let history: UnitHistory = unpackUnitHistory(kept);
  let asked: UnitChange | null = null;
  return {
    check(reading, monoMs) {
      const watched = watchUnits(history, reading, monoMs);
      history = watched.history;
      asked = watched.sure ? watched.change : null;
      return watched.change === null ? reading : { ...reading, ...refuseUnits(reading) };
    },
    asked: () => asked,
    confirm() {
      history = NO_UNIT_HISTORY;
      asked = null;
    },
    packed: () => packUnitHistory(history),
  };
}
