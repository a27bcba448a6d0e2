/**
 * What is wired: panels of a kind by their label (1000 W/m², 25 °C), a station's solar port and the lead to it by their
 * manuals, and the weather to reckon with. Volts, amps, watts, °C, metres, mm²; null where the owner has not told.
 */

export interface Panel {
  readonly name: string;
  readonly count: number;
  readonly ratedW: number | null;
  /** Voc. */
  readonly openCircuitV: number | null;
  /** Isc. */
  readonly shortCircuitA: number | null;
  /** Vmp. */
  readonly maxPowerV: number | null;
  /** Imp. */
  readonly maxPowerA: number | null;
  /** Change of Voc a kelvin warmer, %: negative. */
  readonly openCircuitPctPerK: number | null;
  /** Change of power a kelvin warmer, %: negative. */
  readonly powerPctPerK: number | null;
  /** The largest fuse the maker allows in the panel's string. */
  readonly maxSeriesFuseA: number | null;
  /** How far Voc may lie above the label, %. */
  readonly tolerancePct: number | null;
  readonly build: 'rigid' | 'folding' | null;
}

/** Length one way; `plugA` is the rating of its weakest plug. */
export interface Lead {
  readonly lengthM: number | null;
  readonly conductorMm2: number | null;
  readonly plugA: number | null;
}

export interface Port {
  readonly name: string;
  /** Of which station, where there are several. */
  readonly station: string | null;
  readonly minV: number | null;
  readonly maxV: number | null;
  readonly maxA: number | null;
  readonly maxW: number | null;
  /** The owner has read in the port's manual that a higher short-circuit current may be connected. */
  readonly overCurrentAllowed: boolean;
  readonly lead: Lead | null;
}

/** Air temperatures, °C: the coldest morning and the hottest day. */
export interface Weather {
  readonly coldestC: number | null;
  readonly hottestC: number | null;
}

type Told<T> = { readonly [K in keyof T]?: T[K] | undefined };

const nullWhereNotTold = <T extends object>(unknown: T, told: Told<T>): T => {
  const known = Object.keys(unknown).map(key => [key, told[key as keyof T] ?? unknown[key as keyof T]]);
  return Object.fromEntries(known) as T;
};

const NO_PANEL: Panel = {
  name: 'panel',
  count: 1,
  ratedW: null,
  openCircuitV: null,
  shortCircuitA: null,
  maxPowerV: null,
  maxPowerA: null,
  openCircuitPctPerK: null,
  powerPctPerK: null,
  maxSeriesFuseA: null,
  tolerancePct: null,
  build: null,
};

/**
 * A panel from what was told of it; the settings' names. Of watts, volts and amps at maximum power the third follows
 * from two.
 */
export function panelOf(told: Told<Panel>): Panel {
  const panel = nullWhereNotTold(NO_PANEL, told);
  const { ratedW, maxPowerV, maxPowerA } = panel;
  if (ratedW === null)
    return { ...panel, ratedW: maxPowerV === null || maxPowerA === null ? null : maxPowerV * maxPowerA };
  if (maxPowerV === null) return { ...panel, maxPowerV: maxPowerA === null ? null : ratedW / maxPowerA };
  return { ...panel, maxPowerA: maxPowerA ?? ratedW / maxPowerV };
}

const NO_PORT: Omit<Port, 'lead'> = {
  name: 'solar port',
  station: null,
  minV: null,
  maxV: null,
  maxA: null,
  maxW: null,
  overCurrentAllowed: false,
};

const NO_LEAD: Lead = { lengthM: null, conductorMm2: null, plugA: null };

/** A port from what was told of it; the settings' names. */
export function portOf(told: Told<Omit<Port, 'lead'>> & { readonly lead?: Told<Lead> | null | undefined }): Port {
  const port = nullWhereNotTold(NO_PORT, told);
  return { ...port, lead: told.lead == null ? null : nullWhereNotTold(NO_LEAD, told.lead) };
}

/** Label tolerance where none was typed, %: own judgement; a folding panel's label is the looser one. */
export const TOLERANCE_PCT = { rigid: 3, folding: 5 } as const;

export const tolerancePct = (panel: Panel): number => panel.tolerancePct ?? TOLERANCE_PCT[panel.build ?? 'rigid'];

/** Hottest air where none was told, °C: own judgement. */
export const UNKNOWN_HOTTEST_C = 40;
