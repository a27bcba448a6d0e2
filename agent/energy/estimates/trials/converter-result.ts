/**
 * Efficiency at each load and the curve through them: battery watts = fixed + linear × watts + square × watts² (the shape
 * of D. King et al., SAND2007-5036, its voltage terms left out). Errors of one instrument move all points together; they
 * are followed through the fit, as is each point's own.
 */
import type { TrialAsked, TrialCurve, TrialPoint, TrialResult } from './asked.ts';
import { combined, halfWidth95 } from './coverage.ts';
import { figureOf } from './figure.ts';
import { type Fit, fitOf } from './fit.ts';
import { besideMeter } from './meter.ts';
import { batteryGain, ownGain } from './own-watts.ts';
import { perPercent, tickToTick } from './percent-power.ts';
import type { LoadHeld } from './plateaus.ts';
import { batteryColumn, bySensors, digitOf, meanOf, outColumn, pctToldAt, scatterOf, valuesOf } from './samples.ts';
import { fromScatter, joined, normalTerm, roundedTerms, scaled, type Term, withinLimits } from './terms.ts';

type Asked = TrialAsked<'converter'>;

/** Of both sides of one load: watts, and their errors in watts. */
interface Point {
  readonly acW: number;
  readonly acTerms: readonly Term[];
  readonly dcW: number;
  readonly dcTerms: readonly Term[];
}

/** Fans, voltage, warmth: how far a real converter lies off the shape, relative to what the battery gives. Own judgement. */
const SHAPE_SHARE = 0.0012;
const LINE_POINTS = 24;

function acSide(asked: Asked, load: LoadHeld): Pick<Point, 'acW' | 'acTerms'> {
  const { samples: s, options, station } = asked;
  const out = outColumn(s);
  const values = valuesOf(out, load.from, load.to);
  const meanW = meanOf(values);
  const held = { at: s.at, column: out, from: load.from, to: load.to, gapLimitMs: asked.gapLimitMs };
  const beside = besideMeter(held, asked.meter, options.meter);
  if (beside !== null && beside.covered > 0.5) {
    const acW = meanW / beside.ratio;
    return {
      acW,
      acTerms: scaled(
        beside.terms.filter(t => t.source !== 'rounding' || t.kind === 'A'),
        -acW,
      ),
    };
  }
  const scatter = scatterOf(values);
  return {
    acW: meanW,
    acTerms: [
      ownGain(meanW, options.ownWattsLimitPct, station, 'out'),
      ...roundedTerms('rounding', digitOf(values), 1, scatter, `digits:${station}:out`),
      fromScatter('scatter', scatter / Math.sqrt(values.length), values.length - 1),
    ],
  };
}

/** Amperes around nothing: what a sensor shows of none, A. Common practice, no source. */
const ZERO_A = 0.02;

function dcSide(asked: Asked, load: LoadHeld): Pick<Point, 'dcW' | 'dcTerms'> | null {
  const { samples: s, options, station } = asked;
  if (!bySensors(asked.samples)) {
    const percent = perPercent(options);
    const [first, last] = [load.ticks[0], load.ticks.at(-1)];
    if (percent === null || first === undefined || last === undefined || first.to <= last.to) return null;
    const { powerW, terms } = tickToTick(first, last, percent, station);
    return { dcW: powerW, dcTerms: terms };
  }
  const values = valuesOf(batteryColumn(s), load.from, load.to).map(w => -w);
  if (values.length < 10) return null;
  const volts = meanOf(valuesOf(s.batteryV, load.from, load.to)) || 1;
  const amps = valuesOf(s.batteryA, load.from, load.to);
  const dcW = meanOf(values);
  const scatter = scatterOf(values);
  return {
    dcW,
    dcTerms: [
      batteryGain(dcW, options.batteryLimitPct, station),
      withinLimits('batterySensors', volts * ZERO_A, `zero:${station}`),
      ...(amps.length === 0
        ? []
        : roundedTerms('rounding', digitOf(amps), volts, scatterOf(amps), `digits:${station}:battery`)),
      fromScatter('scatter', scatter / Math.sqrt(values.length), values.length - 1),
    ],
  };
}

/** A point's own errors, in watts at the battery. */
const ownDeviation = ({ acTerms, dcTerms, dcW }: Point): number =>
  Math.hypot(
    combined(dcTerms.filter(t => t.shared === null)),
    combined(acTerms.filter(t => t.shared === null)),
    SHAPE_SHARE * dcW,
    0.01,
  );

interface Curve {
  readonly fit: Fit;
  readonly points: readonly Point[];
  readonly square: boolean;
}

const shapeOf = (w: number, square: boolean): number[] => (square ? [1, w, w * w] : [1, w]);

/** What the battery gives at `w` outgoing, and how much more for each watt more. */
function battery({ fit, square }: Curve, w: number): { dcW: number; slope: number } {
  const [p0, p1, p2] = fit.coefficients as [number, number, number?];
  const p = square ? (p2 ?? 0) : 0;
  return { dcW: p0 + p1 * w + p * w * w, slope: p1 + 2 * p * w };
}

/** Terms of Σ cₖ × (battery watts of point k), through the points' errors on both sides. */
function throughPoints(curve: Curve, weights: readonly number[]): Term[] {
  const terms: Term[] = [];
  curve.points.forEach((point, k) => {
    const { slope } = battery(curve, point.acW);
    terms.push(...scaled(point.dcTerms, weights[k]!), ...scaled(point.acTerms, -slope * weights[k]!));
    terms.push(normalTerm('curveShape', SHAPE_SHARE * point.dcW * weights[k]!));
  });
  return joined(terms);
}

/** Efficiency at `w` true watts with its terms, %. */
function efficiencyAt(curve: Curve, w: number): { pct: number; terms: Term[] } {
  const { dcW } = battery(curve, w);
  const pct = (100 * w) / dcW;
  const shape = shapeOf(w, curve.square);
  const weights = curve.points.map((_, k) => shape.reduce((sum, x, i) => sum + x * curve.fit.turns[i]![k]!, 0));
  return {
    pct,
    terms: [...scaled(throughPoints(curve, weights), -pct / dcW), normalTerm('curveShape', SHAPE_SHARE * pct)],
  };
}

function curveOf(points: readonly Point[]): Curve | null {
  const square = points.length >= 3;
  if (points.length < 2) return null;
  const fit = fitOf(
    points.map(p => shapeOf(p.acW, square)),
    points.map(p => p.dcW),
    points.map(ownDeviation),
  );
  return fit === null ? null : { fit, points, square };
}

/** What is lost, of the fitted terms: the linear one holds the watt itself that goes out. */
const COEFFICIENTS = [
  ['fixedLossW', 'W', 1, 0],
  ['linearLoss', 'W/W', 1, 1],
  ['squareLossPerKW', '1/kW', 1000, 0],
] as const;

function coefficientFigures(curve: Curve, against: 'batterySensors' | 'percents') {
  return curve.fit.coefficients.map((value, i) => {
    const [what, unit, factor, out] = COEFFICIENTS[i]!;
    return figureOf(
      what,
      (value - out) * factor,
      unit,
      against,
      scaled(throughPoints(curve, curve.fit.turns[i]!), factor),
    );
  });
}

function pointOf(x: number, pct: number, terms: readonly Term[]): TrialPoint {
  const half = halfWidth95(terms);
  return { x, y: pct, low95: pct - half, high95: Math.min(100, pct + half) };
}

function lineOf(curve: Curve): TrialCurve {
  const watts = curve.points.map(p => p.acW);
  const [low, high] = [Math.min(...watts), Math.max(...watts)];
  const points = Array.from({ length: LINE_POINTS }, (_, k) => {
    const w = low * (high / low) ** (k / (LINE_POINTS - 1));
    const { pct, terms } = efficiencyAt(curve, w);
    return pointOf(w, pct, terms);
  });
  return { of: 'efficiencyByLoad', as: 'line', points };
}

export function converterResult(asked: Asked, loads: readonly LoadHeld[]): TrialResult | null {
  const points = loads
    .flatMap(load => {
      const dc = dcSide(asked, load);
      return dc === null ? [] : [{ ...acSide(asked, load), ...dc }];
    })
    .sort((a, b) => a.acW - b.acW);
  if (points.length === 0) return null;
  const against = bySensors(asked.samples) ? 'batterySensors' : 'percents';
  const measured = points.map(point => {
    const pct = (100 * point.acW) / point.dcW;
    const terms = joined([...scaled(point.acTerms, 100 / point.dcW), ...scaled(point.dcTerms, -pct / point.dcW)]);
    return { point, pct, terms };
  });
  const curve = curveOf(points);
  const { samples: s } = asked;
  const temps = loads.flatMap(load => [...valuesOf(s.tempC, load.from, load.to).subarray(0, 50)]);
  return {
    figures: [
      ...(curve === null ? [] : coefficientFigures(curve, against)),
      ...measured.map(({ point, pct, terms }) => figureOf('efficiencyPct', pct, '%', against, terms, point.acW)),
    ],
    curves: [
      {
        of: 'efficiencyByLoad',
        as: 'points',
        points: measured.map(({ point, pct, terms }) => pointOf(point.acW, pct, terms)),
      },
      ...(curve === null ? [] : [lineOf(curve)]),
    ],
    under: {
      meanW: null,
      tempC: temps.length === 0 ? null : meanOf(temps),
      fromPct: loads[0] === undefined ? null : pctToldAt(s, loads[0].from),
      toPct: loads.length === 0 ? null : pctToldAt(s, loads.at(-1)!.to),
    },
  };
}
