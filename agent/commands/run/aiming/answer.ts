/** What is told of aiming now and then: where to point, the spots with what was learned of them, the plan. */
import { civilDayOf } from '#energy/civil-day';
import { sunTrack } from '#energy/estimates/skyline/clock-strip';
import type { SpotSky } from '#energy/estimates/skyline/types';
import type { AimAnswer, Spot, WireSpot } from '#messages';
import { panelsRatedW } from '../../../derive/facts.ts';
import { spotPlaneAt, staysOf } from '../../../derive/standing.ts';
import { toInstant } from '../../../server/encode.ts';
import type { AimDesk } from './desk.ts';
import type { Evidence, EvidenceAsked } from './evidence.ts';
import type { KeptAim } from './kept.ts';
import { planTold } from './plan.ts';
import { pointingTold, skyPlaceOf } from './pointing.ts';

const MINUTE_MS = 60_000;
const TRACK_STEP_MS = 10 * MINUTE_MS;

export { createEvidence } from './evidence.ts';

/** What is asked of the record. */
export function learningOf({ kept, pointing }: AimDesk, nowMs: number): EvidenceAsked {
  const { facts } = pointing();
  const { place } = facts;
  return {
    station: kept.station,
    facts,
    dated: kept.facts(),
    place: place === null ? null : skyPlaceOf(place),
    ratedW: panelsRatedW(facts),
    nowMs,
  };
}

export function answerNow(desk: AimDesk, evidence: Evidence, nowMs: number, carries: boolean): AimAnswer {
  const { kept } = desk;
  const { facts, settings, readings } = desk.pointing();
  const day = civilDayOf(nowMs, facts.zone);
  const track = facts.place === null ? [] : sunTrack(skyPlaceOf(facts.place), day, TRACK_STEP_MS);
  return {
    station: kept.station,
    pointing: pointingTold(
      { settings, facts, readings, plane: desk.planeNow(nowMs), sky: desk.look(nowMs).sky },
      nowMs,
    ),
    spots: kept.spots().map(spot => ({
      ...spotTold(kept, spot, nowMs),
      ...skyTold(evidence.of(spot.id)?.sky(nowMs, day) ?? null),
    })),
    track:
      track.length === 0
        ? null
        : track.map(({ atMs, azimuthDeg, elevationDeg }) => ({
            at: toInstant(Math.round(atMs)),
            azimuthDeg,
            elevationDeg,
          })),
    plan: planTold(kept, evidence, day.endMs, nowMs),
    carries,
  };
}

function spotTold(kept: KeptAim, spot: Spot, nowMs: number) {
  const stays = staysOf(kept.facts()).filter(stay => stay.spot === spot.id && stay.fromMs <= nowMs);
  const last = stays.at(-1);
  return {
    id: spot.id,
    name: spot.name,
    note: spot.note,
    ...spotPlaneAt(kept.facts(), spot.id, nowMs),
    standing: last !== undefined && last.toMs > nowMs,
    sinceAt: last === undefined ? null : toInstant(last.fromMs),
  };
}

type Learned = Pick<WireSpot, 'clearDays' | 'evidenceMin' | 'strip' | 'next' | 'skyline'>;

function skyTold(sky: SpotSky | null): Learned {
  if (sky === null) return { clearDays: 0, evidenceMin: 0, strip: null, next: null, skyline: null };
  const { clearDays, evidenceMin, strip, next, skyline } = sky;
  return {
    clearDays,
    evidenceMin,
    strip:
      strip?.map(({ fromMs, toMs, is }) => ({
        fromAt: toInstant(Math.round(fromMs)),
        toAt: toInstant(Math.round(toMs)),
        is,
      })) ?? null,
    next:
      next === null
        ? null
        : {
            at: toInstant(Math.round(next.atMs)),
            is: next.is,
            giveOrTakeMin: Math.max(1, Math.round(next.giveOrTakeMs / MINUTE_MS)),
          },
    skyline: skyline?.map(part => ({ ...part })) ?? null,
  };
}
