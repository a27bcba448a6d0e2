/**
 * What makes a figure unsure, term by term, each with the shape of its distribution and its effect on the figure (JCGM
 * 100:2008, 4.2 for type A, 4.3 for type B, 5.1.3 for sensitivity coefficients; from memory). `effect` is what the figure
 * moves by for one standard uncertainty of the cause, with its sign: so causes shared by two figures cancel (5.2.2).
 */

/**
 * threeWay: nothing or half a step either way, as by whole digits that may be rounded up, down or to the nearest, nobody
 * knows which (standard deviation: step / √6).
 */
export type Shape = 'normal' | 'rectangular' | 'triangular' | 'threeWay';

export const SOURCES = [
  'scatter',
  'rounding',
  'ownWatts',
  'meter',
  'batterySensors',
  'wholePercents',
  'tickMoment',
  'unevenPercents',
  'perPercent',
  'gaugeCount',
  'bridgedGap',
  'endMoment',
  'loadDrift',
  'fit',
  'curveShape',
  'clearSky',
  'panelLabel',
  'air',
  'warmth',
  'sky',
  'repeat',
  'otherResult',
  'price',
] as const;
export type Source = (typeof SOURCES)[number];

export interface Term {
  readonly source: Source;
  /** A: from the scatter of repeated readings. B: from anything else. */
  readonly kind: 'A' | 'B';
  readonly shape: Shape;
  /** In the figure's unit, with sign. */
  readonly effect: number;
  /** Infinity where the standard uncertainty itself is taken as known. */
  readonly freedom: number;
  /** Names the one cause behind it, such as one meter; null where no other figure shares it. */
  readonly shared: string | null;
}

const term = (source: Source, shape: Shape, effect: number, shared: string | null): Term => ({
  source,
  kind: 'B',
  shape,
  effect,
  freedom: Number.POSITIVE_INFINITY,
  shared,
});

/** Known to one standard deviation. */
export const normalTerm = (source: Source, deviation: number, shared: string | null = null): Term =>
  term(source, 'normal', deviation, shared);

/** Anywhere within ±limit alike (4.3.7). */
export const withinLimits = (source: Source, limit: number, shared: string | null = null): Term =>
  term(source, 'rectangular', limit / Math.sqrt(3), shared);

/** The difference of two moments that each lie anywhere within one width (4.3.9): triangular within ±width. */
export const betweenTwo = (source: Source, width: number, shared: string | null = null): Term =>
  term(source, 'triangular', width / Math.sqrt(6), shared);

/** From n repeated readings: their standard error. */
export const fromScatter = (source: Source, error: number, freedom: number): Term => ({
  source,
  kind: 'A',
  shape: 'normal',
  effect: error,
  freedom: Math.max(1, freedom),
  shared: null,
});

/**
 * Digits of size `step`, rounded nobody knows how. Where readings scatter over several digits only the way of rounding is
 * left of it. (F.2.2.1 for a digital indication; the attenuation by scatter is that of the first harmonic, from memory.)
 *
 * @param sensitivity figure's units for one unit of the reading
 * @param scatter of single readings, in the reading's unit
 */
export function roundedTerms(
  source: Source,
  step: number,
  sensitivity: number,
  scatter: number,
  shared: string | null = null,
): Term[] {
  const still = Math.exp(-2 * Math.PI ** 2 * (scatter / step) ** 2);
  const name = (part: string) => (shared === null ? null : `${shared}/${part}`);
  return [
    term(source, 'threeWay', (sensitivity * step) / Math.sqrt(6), name('way')),
    ...(still < 0.02 ? [] : [withinLimits(source, (sensitivity * step * still) / 2)]),
  ];
}

/** Terms of a figure that is `factor` times another. */
export const scaled = (terms: readonly Term[], factor: number): Term[] =>
  terms.map(of => ({ ...of, effect: of.effect * factor }));

/** Of equal causes one term, their effects added with their signs; all others as they are. */
export function joined(terms: readonly Term[]): Term[] {
  const byCause = new Map<string, Term>();
  const out: Term[] = [];
  for (const of of terms) {
    const key = of.shared === null ? null : `${of.shared}|${of.shape}`;
    const before = key === null ? undefined : byCause.get(key);
    if (key === null) out.push(of);
    else byCause.set(key, before === undefined ? of : { ...before, effect: before.effect + of.effect });
  }
  return [...byCause.values(), ...out];
}
