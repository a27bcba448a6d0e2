/**
 * What the judge of spots is told, and what it answers. Powers W at the station's input, instants UTC epoch ms, light
 * W/m² under a clear sky. `giveOrTakeW` is half the width of a range that is right 19 times in 20.
 */

/** What takes less than the panels could give. */
export type Limit = 'full' | 'taper' | 'port' | 'cold' | 'owner' | 'load';

/** One reading. */
export interface AimSample {
  readonly atMs: number;
  /** null: not told. */
  readonly powerW: number | null;
  /** Of panels that stand still meanwhile, at another port or station; null: there are none, or not told. */
  readonly referenceW: number | null;
  /** null: nothing holds it back, as far as is known. */
  readonly limitedBy: Limit | null;
}

/** What the clear sky gives to panels as they stand. */
export interface Light {
  /** On their plane, or on level ground where that is not known. */
  readonly of: 'plane' | 'level';
  /** W/m²; null where it cannot be told. */
  readonly wm2: (atMs: number) => number | null;
}

export interface AimFacts {
  /** Of the panels together, by their label, W; null where not told. */
  readonly ratedW: number | null;
  /** Relative change of power a kelvin, negative; null where not told. */
  readonly powerPerK: number | null;
}

/** Why a stretch cannot be ranked; `ok` where it can. */
export type Why = 'ok' | 'limited' | 'unsteady' | 'short' | 'old' | 'dark' | 'otherPanels';

/** How something varies beside the clear course. */
export interface Wander {
  /** How far it wanders in a second, as a share: a random walk's standard deviation after one second. */
  readonly share: number;
  /** Independent looks this rests on. */
  readonly freedom: number;
}

/** What came in at a spot over one stretch without a move: plain JSON, to be kept with a mark. */
export interface Measure {
  /** The settled stretch that was averaged. */
  readonly fromMs: number;
  readonly toMs: number;
  /** Its middle, which `meanW` belongs to. */
  readonly atMs: number;
  readonly meanW: number;
  /** Standard error of the mean, W: scatter that hangs together, and whole watts. */
  readonly errorW: number;
  /** Since when the tracker has stood on this plateau. */
  readonly settledAtMs: number;
  /** When the panels were last moved before it. */
  readonly movedAtMs: number;
  /** What it has still to lose until its cells are as warm as they get, as a share; one for each way of warming. */
  readonly coolShares: readonly number[];
  readonly wander: Wander;
  /** What it rose by a second beside the clear course, as a share. */
  readonly slopeShare: number;
  /** The same as a share of the reference, its wander with it; null without one. */
  readonly ofReference: { readonly mean: number; readonly error: number; readonly wander: Wander } | null;
  readonly why: Why;
  readonly limitedBy: Limit | null;
}

/** A mark as the judge is given it. */
export interface MarkedSpot {
  readonly id: number;
  readonly letter: string;
  /** Marks of one key were made at one spot with the panels standing alike; null: at a spot of its own. */
  readonly spot: string | null;
  readonly measure: Measure;
  /** The clear sky as the panels stood there; null without a place. */
  readonly light: Light | null;
  /** Other panels were plugged in since. */
  readonly otherPanels: boolean;
}

/** Where the panels are now. */
export interface Standing {
  /** Key of the spot as in `MarkedSpot`, where it was told; null: not told. */
  readonly spot: string | null;
  readonly light: Light | null;
}

export interface Watts {
  readonly meanW: number;
  readonly giveOrTakeW: number;
}

export interface RankedMark {
  readonly id: number;
  readonly letter: string;
  readonly measured: Watts;
  /** What it would give now, the sun's own motion and the cells' warming taken out; null where it cannot be said. */
  readonly now: Watts | null;
  readonly why: Why;
}

export type VerdictKind =
  | 'none'
  | 'dark'
  | 'settling'
  | 'holding'
  | 'clouds'
  | 'goBack'
  | 'warming'
  | 'limited'
  | 'better'
  | 'worse'
  | 'same';

export interface Verdict {
  readonly kind: VerdictKind;
  /** Letter of the mark stood at; null where the panels stand somewhere unmarked. */
  readonly here: string | null;
  /** Letter of the mark it is held against. */
  readonly than: string | null;
  /** Here less `than`, both as of now. */
  readonly differenceW: number | null;
  readonly giveOrTakeW: number | null;
  /** What the sun's own motion explains of the raw difference. */
  readonly sunExplainsW: number | null;
  /** Hold still for about this long still; null where not known. */
  readonly holdMs: number | null;
  readonly limitedBy: Limit | null;
}

export type SkyIs = 'steady' | 'unsteady' | 'unknown';

/** All that can be said at an instant. */
export interface Look {
  readonly sky: SkyIs;
  /** The stretch the panels are on since they were last moved; null while the tracker has not settled. */
  readonly here: (Watts & { readonly sinceMs: number }) | null;
  /** Best first; those that cannot be ranked last, in the order they were made. */
  readonly marks: readonly RankedMark[];
  readonly verdict: Verdict;
}

/** Follows one station's readings; has no clock. */
export interface AimJudge {
  /** In order of time; an earlier one than the last is left out. */
  add(sample: AimSample): void;
  /** The owner said that panels were moved, or stand elsewhere: a new stretch begins. */
  moved(atMs: number): void;
  /** What a mark made now would keep; null while nothing was measured since the last move. */
  measure(nowMs: number): Measure | null;
  /** @param marks this walk's, in the order they were made */
  look(marks: readonly MarkedSpot[], here: Standing, nowMs: number): Look;
}
