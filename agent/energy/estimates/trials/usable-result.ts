/** What a discharge delivered, with its budget: by the station's own watts, by a meter, against label and battery. */
import type { TrialAsked, TrialResult } from './asked.ts';
import { bandOfWatts, hourCurve } from './curves.ts';
import { type Figure, figureOf } from './figure.ts';
import { besideMeter, type Compared } from './meter.ts';
import { trusted } from './meter-seen.ts';
import { batteryGain, type Counted, countedWh, ownGain } from './own-watts.ts';
import { endsOf, energyPerPercent } from './per-percent.ts';
import { batteryColumn, meanOf, outColumn, pctToldAt, valuesOf } from './samples.ts';
import { scaled, type Term } from './terms.ts';
import { passed, ticksOf } from './ticks.ts';
import type { Stretch } from './watch.ts';

export function usableResult(asked: TrialAsked<'usable'>, { from, to }: Stretch): TrialResult | null {
  if (to - from < 2) return null;
  const { samples: s, options, station } = asked;
  const out = outColumn(s);
  const own = countedWh(s, out, from, to, asked.gapLimitMs, `digits:${station}:out`, { begin: true, end: true });
  const held = { at: s.at, column: out, from, to, gapLimitMs: asked.gapLimitMs };
  const compared = trusted(besideMeter(held, asked.meter, options.meter));
  const temps = valuesOf(s.tempC, from, to);
  return {
    figures: [
      ...ownFigures(own, options.ratedWh),
      ...(compared === null ? [] : meterFigures(own, compared, options.ratedWh)),
      ...conversion(asked, { from, to }, own, compared),
      ...perPercents(asked, { from, to }),
    ],
    curves: [
      hourCurve('percentByHour', s.at, s.pct, from, to),
      hourCurve('wattsByHour', s.at, out, from, to, bandOfWatts(valuesOf(out, from, to), options.ownWattsLimitPct)),
    ],
    under: {
      meanW: own.energyWh / own.hours,
      tempC: temps.length === 0 ? null : meanOf(temps),
      fromPct: pctToldAt(s, from),
      toPct: valuesOf(s.pct, from, to).at(-1) ?? null,
    },
  };
}

function ownFigures(own: Counted, ratedWh: number | null): Figure[] {
  const { energyWh, hours, terms } = own;
  return [
    figureOf('deliveredWh', energyWh, 'Wh', 'ownWatts', terms),
    figureOf('meanLoadW', energyWh / hours, 'W', 'ownWatts', scaled(terms, 1 / hours)),
    ...(ratedWh === null
      ? []
      : [figureOf('shareOfRatedPct', (100 * energyWh) / ratedWh, '%', 'ownWatts', scaled(terms, 100 / ratedWh))]),
  ];
}

function meterFigures(own: Counted, { ratio, terms }: Compared, ratedWh: number | null): Figure[] {
  const deliveredWh = own.energyWh / ratio;
  // What the own watts round by and the moments of the ends are in both and cancel.
  const of: Term[] = [
    ...scaled(
      terms.filter(t => t.source !== 'rounding'),
      -deliveredWh,
    ),
    ...scaled(
      own.terms.filter(t => t.source === 'bridgedGap'),
      1 / ratio,
    ),
  ];
  return [
    figureOf('deliveredByMeterWh', deliveredWh, 'Wh', 'meter', of),
    figureOf('gainErrorPct', 100 * (ratio - 1), '%', 'meter', scaled(terms, 100 * ratio)),
    ...(ratedWh === null
      ? []
      : [figureOf('shareOfRatedByMeterPct', (100 * deliveredWh) / ratedWh, '%', 'meter', scaled(of, 100 / ratedWh))]),
  ];
}

/** What a percent gives, at the outlets and at the battery; above the last tenth, where percents hold less. */
function perPercents(asked: TrialAsked<'usable'>, { from, to }: Stretch): Figure[] {
  const { samples: s, options, station } = asked;
  const ends = endsOf(passed(ticksOf(s.at, s.pct, from, to), -1), 10, 99);
  if (ends === null) return [];
  const out = energyPerPercent(asked, outColumn(s), ends, `digits:${station}:out`);
  const figures = [figureOf('perPercentWh', out.wh, 'Wh/%', 'ownWatts', out.terms)];
  const battery = batteryColumn(s);
  if (battery.length === 0) return figures;
  const drawn = battery.map(w => Math.max(0, -w));
  const { wh, terms } = energyPerPercent(asked, drawn, ends, `digits:${station}:battery`);
  const gain = batteryGain(wh, options.batteryLimitPct, station);
  return [...figures, figureOf('batteryPerPercentWh', wh, 'Wh/%', 'batterySensors', [...terms, gain])];
}

/** Energy at the outlets over what the battery gave meanwhile. */
function conversion(
  asked: TrialAsked<'usable'>,
  { from, to }: Stretch,
  own: Counted,
  compared: Compared | null,
): Figure[] {
  const { samples: s, options, station } = asked;
  const battery = batteryColumn(s);
  if (valuesOf(battery, from, to).length < 0.9 * (to - from)) return [];
  const drawn = countedWh(
    s,
    battery.map(w => Math.max(0, -w)),
    from,
    to,
    asked.gapLimitMs,
    `digits:${station}:battery`,
    { begin: true, end: true },
  );
  if (!(drawn.energyWh > 0)) return [];
  const ratio = compared?.ratio ?? 1;
  const pct = (100 * own.energyWh) / ratio / drawn.energyWh;
  const terms = [
    batteryGain(-pct, options.batteryLimitPct, station),
    ...(compared === null
      ? [ownGain(pct, options.ownWattsLimitPct, station, 'out'), ...scaled(own.terms, pct / own.energyWh)]
      : scaled(compared.terms, -pct)),
    ...scaled(
      drawn.terms.filter(t => t.source !== 'endMoment'),
      -pct / drawn.energyWh,
    ),
  ];
  return [figureOf('conversionPct', pct, '%', compared === null ? 'ownWatts' : 'meter', terms)];
}
