/**
 * The sky over a spot in patches of 1.5° of elevation and of about as much in azimuth, each with what separate days
 * said of it: in the sun or in shade. A day has one vote a patch; the last few days' votes are kept, they lose half
 * their weight in sixty days (leaves, the season) and newer ones push older ones out, so that a tree that was felled is
 * unlearned in a few clear days. Sizes, ages and counts are our own judgement.
 */

export const PATCH_DEG = 1.5;
const BANDS = 90 / PATCH_DEG;
const RAD = Math.PI / 180;
/** Votes a patch keeps. */
const VOTES = 7;
const HALF_AGE_DAYS = 60;
/** Evidence reaches this far over the sky, falling off with the square over `SOFT_DEG`. */
const REACH_DEG = 3.6;
const SOFT_DEG = 1.8;
/**
 * What is open to the sun is open above as well, and what is hidden is hidden below: that far from what was seen, up for
 * sun and down for shade, degrees count for fewer. (A crown on a bare stem is the exception.)
 */
const ONWARDS = 2;
/** Below this a day that saw the sky nearby is not counted as having seen this place of it. */
const COUNTS_FROM = 0.2;

/** What one day says of one patch. */
export interface Vote {
  readonly patch: number;
  /** Share of the beam that came through, 0 to 1. */
  readonly sun: number;
  /** How much to believe it, 0 to 1. */
  readonly weight: number;
  readonly minutes: number;
}

interface Kept {
  day: number;
  sun: number;
  weight: number;
}

interface Patch {
  votes: Kept[];
  minutes: number;
}

/** What is known of one place of the sky. */
export interface Evidence {
  /** Weights of what spoke for sun and for shade. */
  readonly sun: number;
  readonly shade: number;
  /** Separate days that said one or the other. */
  readonly sunDays: number;
  readonly shadeDays: number;
}

const first = new Int32Array(BANDS + 1);
for (let band = 0; band < BANDS; band++) first[band + 1] = first[band]! + patchesIn(band);

function patchesIn(band: number): number {
  return Math.max(1, Math.round((360 / PATCH_DEG) * Math.cos((band + 0.5) * PATCH_DEG * RAD)));
}

/** The patch that holds a place of the sky above the horizon. */
export function patchAt(azimuthDeg: number, elevationDeg: number): number {
  const band = Math.min(BANDS - 1, Math.floor(elevationDeg / PATCH_DEG));
  const count = first[band + 1]! - first[band]!;
  return first[band]! + (Math.floor((azimuthDeg / 360) * count) % count);
}

/** Its middle. */
export function middleOfPatch(patch: number): { azimuthDeg: number; elevationDeg: number } {
  let band = 0;
  while (first[band + 1]! <= patch) band++;
  const count = first[band + 1]! - first[band]!;
  return { azimuthDeg: ((patch - first[band]! + 0.5) / count) * 360, elevationDeg: (band + 0.5) * PATCH_DEG };
}

/** Patches with their votes. */
export interface Patches {
  /** What a day says takes the place of what it said before. */
  put(day: number, votes: readonly Vote[]): void;
  at(azimuthDeg: number, elevationDeg: number, today: number): Evidence;
  /** Every patch with evidence. */
  each(): Iterable<{ azimuthDeg: number; elevationDeg: number; minutes: number }>;
  /** @param without a day that goes on and will be put again */
  pack(without: number | null): PackedPatches;
}

/** A row a patch: its number, minutes, then day, percent of sun and percent of weight of each vote. */
export type PackedPatches = number[][];

export function createPatches(packed: PackedPatches = []): Patches {
  const patches = new Map<number, Patch>(
    packed.map(([patch, minutes, ...rest]) => {
      const votes: Kept[] = [];
      for (let i = 0; i + 2 < rest.length; i += 3)
        votes.push({ day: rest[i]!, sun: rest[i + 1]! / 100, weight: rest[i + 2]! / 100 });
      return [patch!, { votes, minutes: minutes! }];
    }),
  );
  let lastDay = Number.NaN;
  let lastVotes: readonly Vote[] = [];

  const takeBack = (): void => {
    for (const { patch, minutes } of lastVotes) {
      const of = patches.get(patch)!;
      of.votes = of.votes.filter(vote => vote.day !== lastDay);
      of.minutes -= minutes;
      if (of.votes.length === 0) patches.delete(patch);
    }
  };

  return {
    put(day, votes) {
      if (day === lastDay) takeBack();
      lastDay = day;
      lastVotes = votes;
      for (const { patch, sun, weight, minutes } of votes) {
        const of = patches.get(patch) ?? { votes: [], minutes: 0 };
        of.votes.push({ day, sun, weight });
        // One more than is kept: today's may be taken back.
        if (of.votes.length > VOTES + 1) of.votes.shift();
        of.minutes += minutes;
        patches.set(patch, of);
      }
    },
    at: (azimuthDeg, elevationDeg, today) => gather(patches, azimuthDeg, elevationDeg, today),
    *each() {
      for (const [patch, { minutes }] of patches) yield { ...middleOfPatch(patch), minutes };
    },
    pack(without) {
      const goesOn = new Map(without === lastDay ? lastVotes.map(vote => [vote.patch, vote.minutes]) : []);
      return [...patches].flatMap(([patch, { votes, minutes }]) => {
        const stay = votes.filter(({ day }) => day !== without);
        const rows = stay.flatMap(({ day, sun, weight }) => [day, Math.round(sun * 100), Math.round(weight * 100)]);
        return stay.length === 0 ? [] : [[patch, minutes - (goesOn.get(patch) ?? 0), ...rows]];
      });
    },
  };
}

/** Falls off over the sky: level and upright distance, degrees. */
const nearness = (level: number, up: number): number => {
  const apart = level * level + up * up;
  return apart > REACH_DEG * REACH_DEG ? 0 : Math.exp(-apart / (SOFT_DEG * SOFT_DEG));
};

interface DaySeen {
  sun: number;
  shade: number;
  most: number;
}

/** What each day says of one place of the sky. */
function daysNear(patches: ReadonlyMap<number, Patch>, azimuthDeg: number, elevationDeg: number): Map<number, DaySeen> {
  const days = new Map<number, DaySeen>();
  const lowest = Math.max(0, Math.floor((elevationDeg - ONWARDS * REACH_DEG) / PATCH_DEG));
  const highest = Math.min(BANDS - 1, Math.floor((elevationDeg + ONWARDS * REACH_DEG) / PATCH_DEG));
  for (let band = lowest; band <= highest; band++) {
    const count = first[band + 1]! - first[band]!;
    const narrow = Math.cos(Math.min(88, (band + 0.5) * PATCH_DEG) * RAD);
    const reach = Math.min(Math.floor(count / 2), Math.ceil((REACH_DEG / narrow / 360) * count));
    const middle = Math.floor((azimuthDeg / 360) * count);
    // Positive where the place asked for lies above what was seen.
    const up = elevationDeg - (band + 0.5) * PATCH_DEG;
    for (let step = -reach; step <= reach; step++) {
      const of = (middle + step + count) % count;
      const patch = patches.get(first[band]! + of);
      if (patch === undefined) continue;
      const aside = ((((of + 0.5) / count) * 360 - azimuthDeg + 540) % 360) - 180;
      const forSun = nearness(aside * narrow, up > 0 ? up / ONWARDS : up);
      const forShade = nearness(aside * narrow, up < 0 ? up / ONWARDS : up);
      if (forSun === 0 && forShade === 0) continue;
      for (const { day, sun, weight } of patch.votes) {
        const seen = days.get(day) ?? { sun: 0, shade: 0, most: 0 };
        const near = forSun * sun + forShade * (1 - sun);
        seen.sun += forSun * sun;
        seen.shade += forShade * (1 - sun);
        seen.most = Math.max(seen.most, near * weight);
        days.set(day, seen);
      }
    }
  }
  return days;
}

function gather(
  patches: ReadonlyMap<number, Patch>,
  azimuthDeg: number,
  elevationDeg: number,
  today: number,
): Evidence {
  let [sun, shade, sunDays, shadeDays] = [0, 0, 0, 0];
  for (const [day, seen] of daysNear(patches, azimuthDeg, elevationDeg)) {
    if (seen.most === 0) continue;
    const weight = seen.most * 0.5 ** (Math.max(0, today - day) / HALF_AGE_DAYS);
    const share = seen.sun / (seen.sun + seen.shade);
    sun += weight * share;
    shade += weight * (1 - share);
    if (seen.most < COUNTS_FROM) continue;
    if (share >= 0.5) sunDays++;
    else shadeDays++;
  }
  return { sun, shade, sunDays, shadeDays };
}
