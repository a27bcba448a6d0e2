/** What is known of a day, minute by minute, and in sum, before it is asked where its energy went. Powers W, energies Wh. */

export const FREE = 0;
export const FULL = 1;
export const AT_PORT = 2;
/** Held back by something that is no cause of its own: a pack too cold to be charged. */
export const OTHERWISE = 3;

/** A day by the minute: columns of equal length. */
export interface DayMinutes {
  /** Under a cloudless sky. */
  readonly clearW: Float64Array;
  /** Mean watts from the sun; NaN where that was not recorded. */
  readonly sunW: Float64Array;
  /** What held the panels back: FREE, FULL, AT_PORT or OTHERWISE. */
  readonly held: Uint8Array;
  /** Share of the light that what stands around the panels lets through; null where nothing is known to be in the way. */
  readonly through: Float64Array | null;
  /** 1 where the owner said that the panels were not out. */
  readonly away: Uint8Array;
  /** Measured light as a share of the clear sky's on the same plane; NaN where there is none; null where never. */
  readonly lightShare: Float64Array | null;
  /** Minutes of the day that are over. */
  readonly passed: number;
}

export interface DaySums {
  /** What came in, exactly. */
  readonly harvestWh: number;
  /** Share of the recorded minutes that was covered, 0 to 1: minutes are coarser than gaps. */
  readonly covered: number;
  /** Own level: watts that came for each watt of the model under a clear sky. */
  readonly level: number;
  /** Of what a clear sky would have brought, the share that came in the weeks around. */
  readonly usualSky: number;
}
