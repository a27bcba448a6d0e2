/**
 * What a charge took and how long: to 80, 90 and 100 % shown, the watts over the percents, where they begin to fall, energy
 * in for each percent, and with a discharge of the same station how much of what went in came out again.
 */
import type { TrialAsked, TrialCurve, TrialPoint, TrialResult } from './asked.ts';
import { banded, bandOfWatts, hourCurve } from './curves.ts';
import { type Figure, figureOf, termsOf } from './figure.ts';
import { besideMeter, type Compared } from './meter.ts';
import { trusted } from './meter-seen.ts';
import { type Counted, countedWh, medianStepMs, ownGain } from './own-watts.ts';
import { endsOf, energyPerPercent } from './per-percent.ts';
import { chargeColumn, HOUR_MS, MINUTE_MS, meanOf, medianOf, pctAt, pctToldAt, valuesOf } from './samples.ts';
import { joined, scaled, type Term, withinLimits } from './terms.ts';
import { passed, type Tick, ticksOf } from './ticks.ts';
import type { Stretch } from './watch.ts';

type Asked = TrialAsked<'charge'>;

/** Where the watts have begun to fall for good: below this of what they were in the middle. */
const TAPERED = 0.9;
/** A reading is the mean of a while before it: so old, give or take as much, of the time between two. Own judgement. */
const AGE_SHARE = 0.125;
const MIDDLE: readonly [number, number] = [20, 75];

const TIMES = [
  ['minutesTo80', 80],
  ['minutesTo90', 90],
  ['minutesTo100', 100],
] as const;

/** From the beginning to the moment a percent was first shown; both known to the distance of readings. */
function timeFigures({ samples: s }: Asked, { from, to }: Stretch, ticks: readonly Tick[]): Figure[] {
  const beginWidthMs = from > 0 ? s.at[from]! - s.at[from - 1]! : s.at[from + 1]! - s.at[from]!;
  const beganAt = s.at[from]! - beginWidthMs / 2;
  return TIMES.flatMap(([what, pct]) => {
    const tick = ticks.find(t => t.to >= pct && t.at <= s.at[to]!);
    if (tick === undefined || pctAt(s, from) >= pct) return [];
    const terms = [
      withinLimits('endMoment', beginWidthMs / 2 / MINUTE_MS),
      withinLimits('tickMoment', tick.widthMs / 2 / MINUTE_MS),
    ];
    return [figureOf(what, (tick.at - beganAt) / MINUTE_MS, 'min', 'clock', terms)];
  });
}

function inPerPercent(asked: Asked, ticks: readonly Tick[], to: number): Figure[] {
  const { samples: s, options, station } = asked;
  const ends = endsOf(
    ticks.filter(t => t.at <= s.at[to]!),
    0,
    98,
  );
  if (ends === null) return [];
  const { wh, terms } = energyPerPercent(asked, chargeColumn(s, options.source), ends, `digits:${station}:in`);
  return [figureOf('inPerPercentWh', wh, 'Wh/%', 'ownWatts', terms)];
}

/** Means by shown percent: how the watts run over the charge. */
function byPercent(asked: Asked, { from, to }: Stretch, halfAt: (watts: number) => number): TrialCurve {
  const { samples: s } = asked;
  const input = chargeColumn(asked.samples, asked.options.source);
  const sums = new Map<number, { sum: number; count: number }>();
  for (let k = from; k <= to; k++) {
    const [pct, w] = [s.pct[k]!, input[k]!];
    if (Number.isNaN(pct) || Number.isNaN(w)) continue;
    const at = Math.round(pct);
    let of = sums.get(at);
    if (of === undefined) {
      of = { sum: 0, count: 0 };
      sums.set(at, of);
    }
    of.sum += w;
    of.count++;
  }
  const points: TrialPoint[] = [...sums]
    .sort(([a], [b]) => a - b)
    .map(([x, { sum, count }]) => banded(x, sum / count, halfAt(sum / count)));
  return { of: 'wattsByPercent', as: 'line', points };
}

function taperFigures(curve: TrialCurve, asked: Asked, { from, to }: Stretch): Figure[] {
  const middle = curve.points.filter(p => p.x >= MIDDLE[0] && p.x <= MIDDLE[1]);
  if (middle.length < 10 || asked.options.source !== 'wall') return [];
  const level = medianOf(middle.map(p => p.y));
  const lastFull = curve.points.findLast(p => p.y >= TAPERED * level);
  const { samples: s } = asked;
  // Where the newest percent still takes as much as the middle, nothing has begun to fall.
  if (lastFull === undefined || lastFull.x >= 99 || lastFull === curve.points.at(-1)) return [];
  const input = chargeColumn(asked.samples, asked.options.source);
  let k = to;
  while (k > from && !(input[k]! >= TAPERED * level)) k--;
  const widthMin = (s.at[Math.min(to, k + 1)]! - s.at[k]!) / MINUTE_MS;
  return [
    // The mean of a whole percent fell: somewhere within it or the next.
    figureOf('taperFromPct', lastFull.x + 0.5, '%', 'percents', [withinLimits('wholePercents', 1)]),
    figureOf('taperMinutes', (s.at[to]! - s.at[k]!) / MINUTE_MS, 'min', 'clock', [
      withinLimits('endMoment', widthMin),
      withinLimits('endMoment', widthMin),
    ]),
  ];
}

function peakFigure(asked: Asked, { from, to }: Stretch, counted: Counted): Figure {
  const { samples: s } = asked;
  const input = chargeColumn(asked.samples, asked.options.source);
  let most = 0;
  for (let k = from; k < to; ) {
    let end = k;
    while (end < to && s.at[end]! - s.at[k]! < 5 * MINUTE_MS) end++;
    most = Math.max(most, meanOf(valuesOf(input, k, end)) || 0);
    k = Math.max(end, k + 1);
  }
  return figureOf(
    'peakW',
    most,
    'W',
    'ownWatts',
    scaled(
      counted.terms.filter(t => t.source === 'rounding'),
      1 / counted.hours,
    ),
  );
}

/** Out over in, brought to the same percents; what one meter tells of both cancels. */
function roundTrip(asked: Asked, { from }: Stretch, counted: Counted, compared: Compared | null): Figure[] {
  const { discharge, toPct, ownWattsLimitPct } = asked.options;
  if (discharge === null) return [];
  const { samples: s, station } = asked;
  const rose = toPct - pctAt(s, from);
  const fell = discharge.fromPct - discharge.toPct;
  if (!(rose >= 50) || !(fell >= 50)) return [];
  const inWh = counted.energyWh / (compared?.ratio ?? 1);
  const pct = (100 * discharge.figure.value * rose) / fell / inWh;
  const byMeter = discharge.figure.against === 'meter';
  const terms: Term[] = [
    ...scaled(termsOf(discharge.figure), pct / discharge.figure.value),
    ...(byMeter ? [] : [ownGain(pct, ownWattsLimitPct, station, 'out')]),
    ...(compared === null
      ? [ownGain(-pct, ownWattsLimitPct, station, 'in'), ...scaled(counted.terms, -pct / counted.energyWh)]
      : scaled(compared.terms, pct)),
    // From where the discharge ended to where the charge began nothing is lost but whole percents.
    withinLimits('wholePercents', (pct * Math.max(0.5, Math.abs(rose - fell))) / rose),
  ];
  return [figureOf('roundTripPct', pct, '%', compared !== null && byMeter ? 'meter' : 'ownWatts', joined(terms))];
}

/** Energy in; how late a falling power is told and when it ended are known to the distance of readings. */
function takenIn({ samples: s, options, station, gapLimitMs }: Asked, { from, to }: Stretch): Counted {
  const input = chargeColumn(s, options.source);
  const counted = countedWh(s, input, from, to, gapLimitMs, `digits:${station}:in`, { begin: true, end: false });
  const lastW = input[to - 1]! || 0;
  const firstW = medianOf(valuesOf(input, from, Math.min(to, from + 20)));
  const endWh = (Math.abs(lastW - (input[to]! || 0)) * (s.at[to]! - s.at[to - 1]!)) / HOUR_MS / 2;
  const lateWh = ((firstW - lastW) * medianStepMs(s.at, from, to) * AGE_SHARE) / HOUR_MS;
  const terms = [...counted.terms, withinLimits('endMoment', endWh), withinLimits('endMoment', lateWh)];
  return { ...counted, energyWh: counted.energyWh - lateWh, terms };
}

export function chargeResult(asked: Asked, run: Stretch): TrialResult | null {
  const { samples: s, options } = asked;
  const { from, to } = run;
  if (to - from < 5) return null;
  const input = chargeColumn(asked.samples, asked.options.source);
  const counted = takenIn(asked, run);
  const held = { at: s.at, column: input, from, to, gapLimitMs: asked.gapLimitMs };
  const beside = besideMeter(held, asked.meter, options.meter);
  const compared = trusted(beside);
  const ticks = passed(ticksOf(s.at, s.pct, from, to), 1);
  const halfAt = bandOfWatts(valuesOf(input, from, to), options.ownWattsLimitPct);
  const curve = byPercent(asked, run, halfAt);
  const temps = valuesOf(s.tempC, from, to);
  const inWh = compared === null ? 0 : counted.energyWh / compared.ratio;
  return {
    figures: [
      ...timeFigures(asked, run, ticks),
      figureOf('takenInWh', counted.energyWh, 'Wh', 'ownWatts', counted.terms),
      ...(compared === null
        ? []
        : [
            figureOf('takenInByMeterWh', inWh, 'Wh', 'meter', scaled(compared.terms, -inWh)),
            figureOf(
              'gainErrorPct',
              100 * (compared.ratio - 1),
              '%',
              'meter',
              scaled(compared.terms, 100 * compared.ratio),
            ),
          ]),
      peakFigure(asked, run, counted),
      ...inPerPercent(asked, ticks, to),
      ...taperFigures(curve, asked, run),
      ...roundTrip(asked, run, counted, compared),
    ],
    curves: [
      hourCurve('percentByHour', s.at, s.pct, from, to),
      hourCurve('wattsByHour', s.at, input, from, to, halfAt),
      curve,
    ],
    under: {
      meanW: counted.energyWh / counted.hours,
      tempC: temps.length === 0 ? null : meanOf(temps),
      fromPct: pctToldAt(s, from),
      toPct: valuesOf(s.pct, from, to).at(-1) ?? null,
    },
  };
}
