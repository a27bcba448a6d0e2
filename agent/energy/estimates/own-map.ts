/**
 * A station's own energy map, from one full discharge: what was used from each percent down to where its outlets
 * stopped. It replaces the map of the chemistry, and with it the doubt about the gauge's bottom.
 */
import type { EnergyMap } from './energy-map.ts';

/** A discharge that began higher and ended lower than this tells the whole map, percent. */
const FROM_PCT = 90;

export interface DischargeLog {
  /** A tick down: the boundary reached, and the label energy used since the one before, percent. */
  tick(boundaryPct: number, usedPct: number): void;
  /** Charged, jumped or blind: what was noted does not belong to what follows. */
  restart(): void;
  /** The outlets stopped at this state of charge; the map where the discharge was whole, else null. */
  ended(cutoffPct: number): EnergyMap | null;
}

export function createDischargeLog(): DischargeLog {
  let noted: { pct: number; usedPct: number }[] = [];
  return {
    tick(pct, usedPct) {
      noted.push({ pct, usedPct: (noted.at(-1)?.usedPct ?? 0) + (noted.length === 0 ? 0 : usedPct) });
    },
    restart() {
      noted = [];
    },
    ended(cutoffPct) {
      const first = noted[0];
      const last = noted.at(-1);
      if (first === undefined || last === undefined || first.pct < FROM_PCT || last.pct > cutoffPct + 3) return null;
      const rising = noted.toReversed();
      const left = (usedPct: number) => last.usedPct - usedPct;
      return {
        chargePct: [...rising.map(row => row.pct), 100],
        // Above where it began a percent is taken to hold what the label says.
        energyPct: [...rising.map(row => left(row.usedPct)), left(first.usedPct) + (100 - first.pct)],
      };
    },
  };
}
