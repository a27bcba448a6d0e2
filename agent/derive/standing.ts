/**
 * Where the panels stood, and how, from the record's dated facts. `standing` names the spot from an instant on, null
 * somewhere unnamed; `spot.ID` tells how panels stand at a spot (degrees; tilt 0 flat, azimuth clockwise from true
 * north). Instants UTC epoch ms.
 */
import type { Plane } from '#energy/laws/incidence';

/** A fact of the record, as far as it is needed here. */
export interface DatedFact {
  readonly key: string;
  readonly valueJson: string | null;
  readonly validFromMs: number;
}

/** Panels stood at one spot; the last stay has no end. */
export interface Stay {
  /** null: somewhere unnamed. */
  readonly spot: string | null;
  readonly fromMs: number;
  readonly toMs: number;
}

export const STANDING = 'standing';
export const planeKey = (spot: string): string => `spot.${spot}`;

/** How panels stand at a spot; what the owner did not say is null. */
export interface SpotPlane {
  readonly tiltDeg: number | null;
  readonly azimuthDeg: number | null;
}

export const standingJson = (spot: string | null): string | null => (spot === null ? null : JSON.stringify({ spot }));

const inOrder = (facts: readonly DatedFact[], key: string): DatedFact[] =>
  facts.filter(fact => fact.key === key).sort((a, b) => a.validFromMs - b.validFromMs);

/** Every stay, the oldest first; before the first word about it nothing is known, and there is no stay. */
export function staysOf(facts: readonly DatedFact[]): Stay[] {
  const stays: Stay[] = [];
  for (const { valueJson, validFromMs } of inOrder(facts, STANDING)) {
    const spot = valueJson === null ? null : (JSON.parse(valueJson) as { spot: string }).spot;
    const before = stays.at(-1);
    if (before?.spot === spot) continue;
    if (before !== undefined) stays[stays.length - 1] = { ...before, toMs: validFromMs };
    stays.push({ spot, fromMs: validFromMs, toMs: Number.POSITIVE_INFINITY });
  }
  return stays;
}

/** The stay an instant lies in. */
export const stayAt = (stays: readonly Stay[], atMs: number): Stay | null =>
  stays.findLast(stay => stay.fromMs <= atMs) ?? null;

const NOT_SAID: SpotPlane = { tiltDeg: null, azimuthDeg: null };

/**
 * How panels stand at a spot, as said by then. Before the first word that one is taken: the owner says it later than it
 * became true.
 */
export function spotPlaneAt(facts: readonly DatedFact[], spot: string, atMs: number): SpotPlane {
  const said = inOrder(facts, planeKey(spot));
  const json = (said.findLast(fact => fact.validFromMs <= atMs) ?? said[0])?.valueJson ?? null;
  return json === null ? NOT_SAID : (JSON.parse(json) as SpotPlane);
}

/** The whole plane; null where it does not follow from what was said. Flat panels face nowhere. */
export const wholePlane = ({ tiltDeg, azimuthDeg }: SpotPlane): Plane | null =>
  tiltDeg === null || (azimuthDeg === null && tiltDeg > 0) ? null : { tiltDeg, azimuthDeg: azimuthDeg ?? 0 };

/** From an instant on panels stood like this; null: as the settings say. */
export interface PlaneFrom {
  readonly fromMs: number;
  readonly plane: Plane | null;
}

/** The planes that spots gave the panels, by time, the oldest first; before the first the settings' planes hold. */
export function planesFrom(facts: readonly DatedFact[]): PlaneFrom[] {
  const planes: PlaneFrom[] = [];
  for (const { spot, fromMs, toMs } of staysOf(facts)) {
    const changes = spot === null ? [] : inOrder(facts, planeKey(spot)).map(fact => fact.validFromMs);
    for (const at of [fromMs, ...changes.filter(at => at > fromMs && at < toMs)])
      planes.push({ fromMs: at, plane: spot === null ? null : wholePlane(spotPlaneAt(facts, spot, at)) });
  }
  return planes;
}

/** The plane a spot gave the panels at an instant; null: as the settings say. */
export const spotPlaneOf = (planes: readonly PlaneFrom[], atMs: number): Plane | null =>
  planes.findLast(({ fromMs }) => fromMs <= atMs)?.plane ?? null;

/** Whether spots gave the panels a plane all through a stretch of time. */
export const isGivenThrough = (planes: readonly PlaneFrom[], fromMs: number, toMs: number): boolean =>
  spotPlaneOf(planes, fromMs) !== null &&
  planes.every(({ plane, fromMs: at }) => plane !== null || at <= fromMs || at >= toMs);
