/**
 * What a spot's learning keeps from run to run, and reading it back: another version, or a place so far off that the
 * sun stood elsewhere, begins anew.
 */
import type { Plane } from '../../laws/incidence.ts';
import type { SkyPlace } from '../../sky.ts';
import type { PackedDay } from './day-record.ts';
import type { PackedPatches } from './patches.ts';
import type { Scale } from './scale.ts';
import type { PackedSpot, SpotFacts } from './types.ts';

/** A place mended by less than this moves the sun by less than a patch. */
const SAME_PLACE_DEG = 0.5;

export interface Kept {
  readonly version: 1;
  readonly facts: SpotFacts | null;
  readonly scale: Scale | null;
  readonly fits: number;
  readonly fittedDay: number;
  /** Beginning of the last minute. */
  readonly lastMs: number;
  readonly counted: Counted;
  readonly patches: PackedPatches;
  readonly recent: PackedDay[];
  readonly current: PackedDay | null;
}

/** Days and minutes that taught something, and what of them is the last judged day's, which may be judged again. */
export interface Counted {
  clearDays: number;
  minutes: number;
  day: number;
  dayMinutes: number;
  dayClear: boolean;
}

const nothing = (): Kept => ({
  version: 1,
  facts: null,
  scale: null,
  fits: 0,
  fittedDay: 0,
  lastMs: Number.MIN_SAFE_INTEGER,
  counted: { clearDays: 0, minutes: 0, day: -1, dayMinutes: 0, dayClear: false },
  patches: [],
  recent: [],
  current: null,
});

export function keptOf(packed: PackedSpot | undefined, place: SkyPlace): Kept {
  if (packed === undefined || packed.version !== 1) return nothing();
  const kept = packed as unknown as Kept;
  const from = kept.facts?.place;
  const apart =
    from === undefined
      ? Number.POSITIVE_INFINITY
      : Math.max(Math.abs(from.latitudeDeg - place.latitudeDeg), Math.abs(from.longitudeDeg - place.longitudeDeg));
  return apart > SAME_PLACE_DEG ? nothing() : { ...kept, counted: { ...kept.counted } };
}

const equal = (a: Plane | null, b: Plane | null): boolean =>
  a === b || (a !== null && b !== null && a.tiltDeg === b.tiltDeg && a.azimuthDeg === b.azimuthDeg);

/** The same panels, standing the same way. */
export const sameStanding = (a: SpotFacts, b: SpotFacts): boolean => equal(a.plane, b.plane) && a.ratedW === b.ratedW;
