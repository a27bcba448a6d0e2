/**
 * How long saving takes. A disk that is slow now and then is nobody's business; one that is slow each time holds up
 * everything else of the agent, and its owner is told until it is quick again. Spans, ms.
 */
const SLOW_MS = 1_000;
/** So many in a row. */
const SLOW_TIMES = 3;

export interface Pace {
  /** Does it and looks at the clock before and after, whatever becomes of it. */
  during(save: () => void): void;
  /** How long the last one took, where the disk is slow; null where it is not. */
  slowMs(): number | null;
}

export function createPace(monoMs: () => number): Pace {
  let times = 0;
  let lastMs = 0;
  return {
    during(save) {
      const beganMs = monoMs();
      try {
        save();
      } finally {
        lastMs = monoMs() - beganMs;
        times = lastMs > SLOW_MS ? times + 1 : 0;
      }
    },
    slowMs: () => (times >= SLOW_TIMES ? lastMs : null),
  };
}
