/**
 * The learning of one spot: minutes go in as they come, each solar day is judged when it is over (and today as far as
 * it has come), and what separate days agree on can be asked for. A day costs a few milliseconds.
 */
import type { Plane } from '../../laws/incidence.ts';
import { clearSkyOver } from '../../sky.ts';
import { clockStrip, sunTrack, tell } from './clock-strip.ts';
import { type DayRecord, emptyDay, note, packDay, unpackDay } from './day-record.ts';
import { createJudging } from './judging.ts';
import { type Kept, keptOf, sameStanding } from './kept.ts';
import type { Patches } from './patches.ts';
import { patchesTold, skylineParts } from './skyline-parts.ts';
import { solarDayOf, solarDayStartMs, solarMinuteOf, wattsUnder } from './solar-day.ts';
import type { PackedSpot, SpotFacts, SpotLearning, SpotOutlook } from './types.ts';

/** @param packed of `pack`, perhaps made under other facts: the skyline stays, the scale is then found anew */
export function createSpotLearning(facts: SpotFacts, packed?: PackedSpot): SpotLearning {
  const { longitudeDeg } = facts.place;
  const kept = keptOf(packed, facts.place);
  const judging = createJudging(facts, kept);
  const { patches, counted } = judging;
  let current: DayRecord | null = kept.current === null ? null : unpackDay(kept.current);
  let lastMs = kept.lastMs;
  /** Today was judged since its last minute. */
  let judged = false;

  if (kept.facts !== null && !sameStanding(kept.facts, facts)) {
    if (current !== null) judging.finish(current);
    current = null;
    judging.beginScaleAnew();
  }
  const judgeUntil = (today: number): void => {
    if (current !== null && current.day < today) {
      judging.finish(current);
      // Late minutes of a finished day would take the place of all it said.
      lastMs = Math.max(lastMs, solarDayStartMs(current.day + 1, longitudeDeg) - 1);
      current = null;
    }
    if (!judged && current !== null) judging.today(current);
    judged = true;
  };

  return {
    add({ atMs, powerW, limited }) {
      if (atMs <= lastMs) return;
      lastMs = atMs;
      const day = solarDayOf(atMs, longitudeDeg);
      if (current?.day !== day) {
        if (current !== null) judging.finish(current);
        current = emptyDay(day);
      }
      note(current, solarMinuteOf(atMs, longitudeDeg), powerW, limited);
      judged = false;
    },
    sky(nowMs, day) {
      const today = solarDayOf(nowMs, longitudeDeg);
      judgeUntil(today);
      const skyline = skylineParts(patchesTold(patches, today));
      return {
        clearDays: counted.clearDays,
        evidenceMin: counted.minutes,
        ...clockStrip(sunTrack(facts.place, day), patches, nowMs, today),
        skyline: skyline.length === 0 ? null : skyline,
      };
    },
    patches(nowMs) {
      const today = solarDayOf(nowMs, longitudeDeg);
      judgeUntil(today);
      return patchesTold(patches, today);
    },
    outlook(nowMs, untilMs, stepMs) {
      judgeUntil(solarDayOf(nowMs, longitudeDeg));
      const scale = judging.scale();
      if (scale === null) return null;
      const count = Math.max(0, Math.ceil((untilMs - nowMs) / stepMs));
      return { ...ahead(facts, scale.plane, patches, nowMs, stepMs, count), gainW: scale.gainW };
    },
    pack: () =>
      ({
        version: 1,
        facts: { place: facts.place, plane: facts.plane, ratedW: facts.ratedW },
        lastMs,
        patches: patches.pack(current?.day ?? null),
        current: current === null ? null : packDay(current),
        ...judging.pack(),
      }) satisfies Kept & PackedSpot,
  };
}

/** Light on a plane in steps from now on, and what is known of the sun there. */
function ahead(
  { place }: SpotFacts,
  plane: Plane,
  patches: Patches,
  nowMs: number,
  stepMs: number,
  count: number,
): Omit<SpotOutlook, 'gainW'> {
  const skyAt = clearSkyOver(place);
  const today = solarDayOf(nowMs, place.longitudeDeg);
  const [sunPerW, shadePerW] = [new Float64Array(count), new Float64Array(count)];
  const is = Array.from({ length: count }, (_, i) => {
    const sky = skyAt(nowMs + (i + 0.5) * stepMs);
    const { perW, beamShare } = wattsUnder(sky, plane);
    sunPerW[i] = perW;
    shadePerW[i] = perW * (1 - beamShare);
    const { azimuthDeg, apparentElevationDeg } = sky.sun;
    return apparentElevationDeg <= 0 ? 'unknown' : tell(patches.at(azimuthDeg, apparentElevationDeg, today));
  });
  return { sunPerW, shadePerW, is };
}
