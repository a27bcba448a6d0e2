/**
 * What a page asks about aiming now and then: where to point, the spots with what was learned of them, the plan. Made
 * at most once a minute and station; what is heavy is learned beside all else, and told as far as it has come.
 */
import { civilDayOf } from '#energy/civil-day';
import { sunTrack } from '#energy/estimates/skyline/clock-strip';
import type { SpotSky } from '#energy/estimates/skyline/types';
import type { Clock, Timers } from '#kit';
import type { AimAnswer, RecordQueries, Spot, WireSpot } from '#messages';
import { panelsRatedW } from '../../../derive/facts.ts';
import { spotPlaneAt, staysOf } from '../../../derive/standing.ts';
import type { AimDoor } from '../../../server/deps.ts';
import { toInstant } from '../../../server/encode.ts';
import type { Aims } from './aims.ts';
import type { AimDesk } from './desk.ts';
import { createEvidence, type Evidence } from './evidence.ts';
import type { KeptAim } from './kept.ts';
import { planTold } from './plan.ts';
import { pointingTold, skyPlaceOf } from './pointing.ts';

const MINUTE_MS = 60_000;
/** A first look over a long record is not waited for longer than this. */
const WAITS_MS = 2_000;
const TRACK_STEP_MS = 10 * MINUTE_MS;

export interface AnswerParts {
  readonly record: Pick<RecordQueries, 'series'>;
  readonly clock: Pick<Clock, 'nowMs'>;
  readonly timers: Timers;
  readonly carries: boolean;
}

interface Asked {
  readonly evidence: Evidence;
  made: { minute: number; version: number; whole: boolean; answer: AimAnswer } | null;
}

export function aimDoor(aims: Aims, parts: AnswerParts): AimDoor {
  const { record, clock, timers } = parts;
  const asked = new Map<string, Asked>();
  const giveWay = () => new Promise<void>(done => void timers.after(0, done));
  const askedOf = (station: string): Asked => {
    const before = asked.get(station);
    if (before !== undefined) return before;
    const fresh: Asked = { evidence: createEvidence(record, giveWay), made: null };
    asked.set(station, fresh);
    return fresh;
  };

  return {
    current: aims.current,
    mark: aims.mark,
    changeMarks: aims.changeMarks,
    changeSpots: aims.changeSpots,
    async answer(station) {
      const desk = aims.desk(station);
      const one = askedOf(station);
      const nowMs = clock.nowMs();
      const minute = Math.floor(nowMs / MINUTE_MS);
      const version = desk.kept.version();
      const { made } = one;
      if (made?.whole === true && made.minute === minute && made.version === version) return made.answer;
      const whole = await within(timers, WAITS_MS, one.evidence.learn(learningOf(desk, nowMs)));
      const answer = answerNow(desk, one.evidence, clock.nowMs(), parts.carries);
      one.made = { minute, version, whole, answer };
      return answer;
    },
  };
}

/** Whether a promise is kept in time; where it breaks its error is thrown. */
async function within(timers: Timers, ms: number, promise: Promise<void>): Promise<boolean> {
  let cancel: () => void = () => undefined;
  const late = new Promise<boolean>(resolve => {
    cancel = timers.after(ms, () => resolve(false));
  });
  try {
    return await Promise.race([promise.then(() => true), late]);
  } finally {
    cancel();
    // What comes after the answer is told by the next one.
    promise.catch(() => undefined);
  }
}

function learningOf({ kept, pointing }: AimDesk, nowMs: number) {
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

function answerNow(desk: AimDesk, evidence: Evidence, nowMs: number, carries: boolean): AimAnswer {
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
