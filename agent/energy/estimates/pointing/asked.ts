/**
 * What is asked of where to point, and what is answered. Instants UTC epoch ms, degrees (tilt 0 flat, azimuth clockwise
 * from true north), W, Wh, metres. Every figure is a clear sky's; null where something it needs is not known.
 */
import type { Plane } from '../../laws/incidence.ts';
import type { SunPosition } from '../../laws/sun-position.ts';
import type { Air } from '../../panel-power.ts';
import type { SkyPlace } from '../../sky.ts';

/** Panels that face the same way. */
export interface StandingPanels {
  /** All of them together, W. */
  readonly ratedW: number;
  /** Relative change of power a kelvin, negative; null where the label was not told. */
  readonly powerPerK: number | null;
  /** How they stand; null where not known. */
  readonly plane: Plane | null;
}

export interface PointingAsked {
  /** Within `day`. */
  readonly atMs: number;
  readonly place: SkyPlace;
  /** Whether turbidity is the owner's own; a default is less sure. */
  readonly turbidityTold: boolean;
  readonly panels: readonly StandingPanels[];
  readonly air: Air;
  /** Whether the air was measured; a presumed one is less sure. */
  readonly airTold: boolean;
  /** First instant of the civil day and of the next. */
  readonly day: { readonly startMs: number; readonly endMs: number };
  /** Most the solar ports take together, W; null where not told. */
  readonly portMaxW: number | null;
}

/** Standing one way until an instant, turning the panels once, and leaving them. */
export interface Turning {
  /** How they stand best until then. */
  readonly until: Plane;
  readonly at: number;
  readonly to: Plane;
  /** Against the best plane from now on, left alone. */
  readonly gainWh: number;
}

export interface RestOfDay {
  readonly best: Plane;
  readonly bestWh: number;
  readonly flatWh: number;
  /** Aimed at the sun as it stands now, and left: can be worse than flat. null while it is down. */
  readonly leftAtSunWh: number | null;
  /** As they stand; null where any of them is not known to stand somehow. */
  readonly standingWh: number | null;
  /** Best first, at most three, at least two hours apart; none that is not worth the walk. */
  readonly turnings: readonly Turning[];
}

/** Of an upright peg of one metre on level ground. */
export interface Shadow {
  readonly lengthM: number;
  readonly towardDeg: number;
}

/** What spreads the watts to be expected, and how far it does, % of them either way (19 times in 20). */
export interface Spread {
  readonly of: 'air' | 'warmth' | 'label' | 'dirt' | 'plane';
  readonly pct: number;
}

export interface ExpectedBand {
  readonly lowW: number;
  readonly middleW: number;
  readonly highW: number;
  /** The middle before the port's limit. */
  readonly offeredW: number;
  /** Light on the panels behind it, by rated watts, and how warm the cells are taken to be. */
  readonly planeWm2: number;
  readonly cellTempC: number;
  /** Widest first; they add as independent ones do. */
  readonly spreads: readonly Spread[];
}

export interface Pointing {
  readonly sun: SunPosition;
  /** Of the civil day; null where it has none. */
  readonly sunriseAt: number | null;
  readonly sunsetAt: number | null;
  /** The next one after now, within two days; null where there is none. */
  readonly nextSunriseAt: number | null;
  /** Set where the civil day has neither. */
  readonly polar: null | 'up' | 'down';
  /** null while there is no light. */
  readonly bestNow: Plane | null;
  /** What all panels are rated; null where none is told: energies are then of each 100 W. */
  readonly panelsW: number | null;
  /** null where nothing is left of the day. */
  readonly restOfDay: RestOfDay | null;
  /** null while the sun is too low to throw a shadow that could be used. */
  readonly shadow: Shadow | null;
  /** As the panels stand, without clouds, after the port's limit; null where a plane is not known. */
  readonly expected: ExpectedBand | null;
}
