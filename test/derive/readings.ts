/** Readings for the derive tests: plain, good, one a second unless said. */
import type { Reading } from '#kit';

export const reading = (over: Partial<Reading> & { inputW?: number; outputW?: number; pct?: number } = {}): Reading => {
  const { inputW = 0, outputW = 0, pct = 50, ...rest } = over;
  const at = rest.at ?? 0;
  return {
    station: 'shed',
    session: 's1',
    seq: 1,
    monoMs: at,
    at,
    clock: 'synced',
    quantities: { inputPowerW: inputW, outputPowerW: outputW, stateOfChargePct: pct },
    states: {},
    quality: 'good',
    reasons: {},
    ...rest,
  };
};
