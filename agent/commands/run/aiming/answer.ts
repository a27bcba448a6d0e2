/** What a page asks about aiming now and then: where to point, the spots with what was learned of them, the plan. */
import type { Clock } from '#kit';
import type { AimAnswer, RecordQueries, Spot, WireSpot } from '#messages';
import { spotPlaneAt, staysOf } from '../../../derive/standing.ts';
import type { AimDoor } from '../../../server/deps.ts';
import { toInstant } from '../../../server/encode.ts';
import type { Aims } from './aims.ts';
import type { KeptAim } from './kept.ts';

export function aimDoor(
  aims: Aims,
  _record: Pick<RecordQueries, 'series' | 'extent'>,
  clock: Pick<Clock, 'nowMs'>,
  _pause: () => Promise<void>,
  carries: boolean,
): AimDoor {
  return {
    current: aims.current,
    mark: aims.mark,
    changeMarks: aims.changeMarks,
    changeSpots: aims.changeSpots,
    async answer(station): Promise<AimAnswer> {
      const nowMs = clock.nowMs();
      const { kept } = aims.desk(station);
      return {
        station,
        pointing: null,
        spots: kept.spots().map(spot => spotTold(kept, spot, nowMs)),
        track: null,
        plan: null,
        carries,
      };
    },
  };
}

function spotTold(kept: KeptAim, spot: Spot, nowMs: number): WireSpot {
  const stays = staysOf(kept.facts()).filter(stay => stay.spot === spot.id && stay.fromMs <= nowMs);
  const last = stays.at(-1);
  return {
    id: spot.id,
    name: spot.name,
    note: spot.note,
    ...spotPlaneAt(kept.facts(), spot.id, nowMs),
    standing: last !== undefined && last.toMs > nowMs,
    sinceAt: last === undefined ? null : toInstant(last.fromMs),
    clearDays: 0,
    evidenceMin: 0,
    strip: null,
    next: null,
    skyline: null,
  };
}
