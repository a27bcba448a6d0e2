/**
 * Readings gathered into seconds, so that a station read five times a second and one read every ten seconds go the same
 * way. A station that repeats itself within a second counts once. W, epoch ms.
 */
import type { AimSample, Limit } from './asked.ts';

/** One second of readings, or one reading where they come less often. */
export interface Second {
  readonly atMs: number;
  readonly powerW: number;
  readonly referenceW: number | null;
  readonly limitedBy: Limit | null;
}

const SECOND_MS = 1000;

/** @param emit is given each second once it is over */
export function gatherSeconds(emit: (second: Second) => void) {
  let slot = Number.NaN;
  let atSum = 0;
  let powerSum = 0;
  let count = 0;
  let referenceSum = 0;
  let references = 0;
  let limitedBy: Limit | null = null;
  let lastMs = Number.NEGATIVE_INFINITY;

  const close = (): void => {
    if (count > 0)
      emit({
        atMs: atSum / count,
        powerW: powerSum / count,
        referenceW: references === count ? referenceSum / count : null,
        limitedBy,
      });
    [atSum, powerSum, count, referenceSum, references, limitedBy] = [0, 0, 0, 0, 0, null];
  };

  return {
    /** One that is not after the last is left out. */
    add(sample: AimSample): void {
      if (!(sample.atMs > lastMs)) return;
      lastMs = sample.atMs;
      const now = Math.floor(sample.atMs / SECOND_MS);
      if (now !== slot) {
        close();
        slot = now;
      }
      if (sample.powerW === null || !Number.isFinite(sample.powerW)) return;
      atSum += sample.atMs;
      powerSum += sample.powerW;
      count++;
      if (sample.referenceW !== null) {
        referenceSum += sample.referenceW;
        references++;
      }
      limitedBy ??= sample.limitedBy;
    },
    /** Closes the second that is open if it is over. */
    until(nowMs: number): void {
      if (Math.floor(nowMs / SECOND_MS) > slot) {
        close();
        slot = Math.floor(nowMs / SECOND_MS);
      }
    },
  };
}

/** The smallest step between different values seen: one where a station tells whole watts. */
export function createResolution() {
  /** Numbers of a tenth of a watt and finer are taken as continuous. */
  const FINEST_W = 0.1;
  let fits = 1;
  return {
    add(powerW: number | null): void {
      if (powerW === null || powerW === 0) return;
      while (fits > FINEST_W && Math.abs(powerW / fits - Math.round(powerW / fits)) > 1e-6) fits /= 10;
    },
    /** W. */
    stepW: () => Math.max(fits, FINEST_W),
  };
}
