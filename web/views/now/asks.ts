/** What only the owner can tell, and whether it is to be asked now. Pure. */
import type { Situation } from './situation.ts';

/** Less than this may be a meter's own noise; nobody is asked about it. */
const WORTH_ASKING_W = 5;

/** True where input flows, is not idle noise, and neither station, settings nor owner has told its source. */
export function asksForSource(s: Situation): boolean {
  const reading = s.live?.reading?.wire;
  if (s.live === null || reading === undefined || (s.freshness !== 'live' && s.freshness !== 'typed')) return false;
  const told = [s.live.station.inputSource, reading.states.inputSource].some(
    source => source !== undefined && source !== 'unknown',
  );
  return !told && (reading.quantities.inputPowerW ?? 0) >= WORTH_ASKING_W;
}

/** True where the station seems to tell other units than before. */
export const asksForUnits = (s: Situation): boolean => s.live?.status?.units !== undefined;
