/**
 * What the learning of a spot's sun and shade takes and gives. Minutes go in as they were measured while the panels
 * stood at the spot; what comes out is told only as far as enough separate clear days have shown it.
 *
 * Powers W, energies Wh, angles degrees (azimuth clockwise from true north, tilt 0 flat, elevations as seen, refraction
 * included), instants UTC epoch ms.
 */
import type { Plane } from '../../laws/incidence.ts';
import type { SkyPlace } from '../../sky.ts';

/** What is known of a spot and of the panels that stand there. */
export interface SpotFacts {
  readonly place: SkyPlace;
  /** How panels stand at this spot; null where the owner has not said. */
  readonly plane: Plane | null;
  /** Sum of the panels' labels, W; null where not known. Only a coarse check: the scale is learned. */
  readonly ratedW: number | null;
}

/** One minute of panels that stood at the spot all through it. */
export interface SpotMinute {
  /** Its beginning. */
  readonly atMs: number;
  /** Mean power from the sun. */
  readonly powerW: number;
  /** Something took less than the panels could give: full or tapering battery, port, cold, owner or load. */
  readonly limited: boolean;
}

export type SunOrShade = 'sun' | 'shade' | 'unknown';

/** A stretch of one day's clock. */
export interface ClockSpan {
  readonly fromMs: number;
  readonly toMs: number;
  readonly is: SunOrShade;
}

export interface ForetoldChange {
  readonly atMs: number;
  readonly is: 'sun' | 'shade';
  /** Half the width of a range that is meant to hold 19 times in 20. */
  readonly giveOrTakeMs: number;
}

/** What stands there in one direction, as far as seen. */
export interface SkylinePart {
  /** Middle of the direction's five degrees. */
  readonly azimuthDeg: number;
  /** Height of the edge; null where none was found. */
  readonly edgeDeg: number | null;
  /** Lowest elevation seen in the sun. */
  readonly sunFromDeg: number | null;
  /** Highest elevation seen in shade. */
  readonly shadeToDeg: number | null;
  /** Minutes of clear days behind it. */
  readonly minutes: number;
}

/** What is known of a spot on one civil day. */
export interface SpotSky {
  /** Separate days with clear stretches that taught something. */
  readonly clearDays: number;
  readonly evidenceMin: number;
  /** Sunrise to sunset, without holes; null while nothing of it is known, or where the sun does not rise. */
  readonly strip: readonly ClockSpan[] | null;
  /** The next change after now that is known on both sides; null where none is. */
  readonly next: ForetoldChange | null;
  /** Directions with evidence, by azimuth; null before there is any. */
  readonly skyline: readonly SkylinePart[] | null;
}

/** A patch of sky, by its middle. */
export interface PatchTold {
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
  readonly minutes: number;
  readonly is: SunOrShade;
}

/** The learning of one spot. Feed minutes in order of time. */
export interface SpotLearning {
  /** A minute that is not later than the one before is left out. */
  add(minute: SpotMinute): void;
  /**
   * As it stands now, today's minutes so far included.
   *
   * @param day first instant of the civil day and of the next
   */
  sky(nowMs: number, day: { startMs: number; endMs: number }): SpotSky;
  /** Every patch of sky with evidence, and what is told of it. */
  patches(nowMs: number): readonly PatchTold[];
  /**
   * What panels would give there for the rest of a day under a clear sky; null while their scale is not learned.
   *
   * @param untilMs at most the end of the civil day
   */
  outlook(nowMs: number, untilMs: number, stepMs: number): SpotOutlook | null;
  /** Everything learned, for JSON. Given back to `createSpotLearning`, it goes on where it was. */
  pack(): PackedSpot;
}

/** Watts ahead at even steps, each the middle of its step. */
export interface SpotOutlook {
  /** In the sun, and in shade, for each watt of label. */
  readonly sunPerW: Float64Array;
  readonly shadePerW: Float64Array;
  readonly is: readonly SunOrShade[];
  /** Watts for each of those: the label with dirt, heat and air in it. */
  readonly gainW: number;
}

/** Made by `pack`: plain JSON, read back whatever its age. */
export interface PackedSpot {
  readonly version: 1;
  readonly [key: string]: unknown;
}

/** A spot that the moving plan may send panels to. */
export interface PlanSpot {
  readonly id: string;
  readonly learned: SpotLearning;
}

/** The best round of the spots for what is left of a day. */
export interface MovingPlan {
  /** The first step is where the panels are to stand now. At most two of the steps are moves. */
  readonly steps: readonly { readonly spot: string; readonly fromMs: number }[];
  /** Against staying at `against` until sunset. */
  readonly gainWh: number;
  /** Where the panels stand now; where that is not known, the best single spot. */
  readonly against: string;
  /** Against staying at the best single spot. */
  readonly overBestWh: number;
}
