/**
 * The numbers of one way of wiring panels: volts cold and hot, amps, watts. null where the datasheet does not tell
 * enough. Volts at the panels' end of the lead.
 *
 * Hot cells follow Ross with the usual NOCT at 1000 W/m²; the voltage at maximum power falls with them by the power's
 * coefficient, as the current hardly changes (Sandia module library: −0.47 %/K of −0.49 %/K, median of 166 modules).
 */
import { rossTempC } from '../laws/cell-temperature.ts';
import { coldFactor } from '../laws/cold-voltage.ts';
import { UNKNOWN_POWER_PER_K } from '../laws/pvwatts.ts';
import { designCurrentA } from '../laws/string-fuse.ts';
import { inParallel, inSeries, type Source } from './mismatch.ts';
import { type Panel, tolerancePct, UNKNOWN_HOTTEST_C, type Weather } from './panel.ts';
import type { PanelString, Way } from './ways.ts';

export interface StringFigures {
  /** Open circuit on the coldest morning, by the label and with its tolerance. */
  coldV: number | null;
  coldMaxV: number | null;
  /** At maximum power on the hottest day, and at 25 °C. */
  hotV: number | null;
  openV: number | null;
  /** Of its strongest panel: the weaker may be bridged. */
  shortCircuitA: number | null;
}

export interface Figures {
  strings: readonly StringFigures[];
  coldOpenCircuitV: number | null;
  coldOpenCircuitMaxV: number | null;
  hotOperatingV: number | null;
  /** At maximum power, 25 °C. */
  operatingV: number | null;
  operatingA: number | null;
  shortCircuitA: number | null;
  /** 1.25 × that. */
  designCurrentA: number | null;
  /** Sum of the panels' ratings. */
  peakW: number | null;
  /** Of which lost because the panels are not alike. */
  mismatchLostW: number | null;
}

/** null as soon as one is unknown. */
function all<T extends number>(values: readonly (T | null)[], reckon: (known: T[]) => number): number | null {
  const known = values.filter(value => value !== null);
  return known.length < values.length || known.length === 0 ? null : reckon(known);
}
const sum = (known: number[]) => known.reduce((total, value) => total + value, 0);
const greatest = (known: number[]) => Math.max(...known);
const least = (known: number[]) => Math.min(...known);

/** A panel's volts cold, by label and with tolerance, and its factor. */
export const coldOf = (panel: Panel, coldestC: number | null): number | null =>
  panel.openCircuitV === null || coldestC === null
    ? null
    : panel.openCircuitV * coldFactor(panel.openCircuitPctPerK, coldestC);

/** How warm the cells get on the hottest day, °C. */
export const hottestCellC = (weather: Weather): number => rossTempC(1000, weather.hottestC ?? UNKNOWN_HOTTEST_C);

export const powerPctPerK = (panel: Panel): number => panel.powerPctPerK ?? UNKNOWN_POWER_PER_K * 100;

const hotOf = (panel: Panel, weather: Weather): number | null =>
  panel.maxPowerV === null
    ? null
    : panel.maxPowerV * Math.max(0, 1 + (powerPctPerK(panel) / 100) * (hottestCellC(weather) - 25));

function figuresOfString(string: PanelString, panels: readonly Panel[], weather: Weather): StringFigures {
  const held = panels.map((panel, kind) => ({ panel, n: string[kind]! })).filter(({ n }) => n > 0);
  const added = (of: (panel: Panel) => number | null) =>
    all(
      held.map(({ panel, n }) => {
        const value = of(panel);
        return value === null ? null : n * value;
      }),
      sum,
    );
  const cold = (panel: Panel) => coldOf(panel, weather.coldestC);
  return {
    coldV: added(cold),
    coldMaxV: added(panel => {
      const coldV = cold(panel);
      return coldV === null ? null : coldV * (1 + tolerancePct(panel) / 100);
    }),
    hotV: added(panel => hotOf(panel, weather)),
    openV: added(panel => panel.openCircuitV),
    shortCircuitA: all(
      held.map(({ panel }) => panel.shortCircuitA),
      greatest,
    ),
  };
}

/** Every panel of a string at its maximum power point; null where one is not known. */
function sourcesOf(string: PanelString, panels: readonly Panel[]): Source[] | null {
  const sources: Source[] = [];
  for (const [kind, n] of string.entries()) {
    const { maxPowerV: volts, maxPowerA: amps } = panels[kind]!;
    if (n === 0) continue;
    if (volts === null || amps === null) return null;
    for (let i = 0; i < n; i++) sources.push({ volts, amps });
  }
  return sources;
}

function together(way: Way, panels: readonly Panel[]): (Source & { lostShare: number }) | null {
  const strings: Source[] = [];
  let apartW = 0;
  for (const string of way) {
    const sources = sourcesOf(string, panels);
    if (sources === null) return null;
    apartW += sources.reduce((total, { volts, amps }) => total + volts * amps, 0);
    strings.push(inSeries(sources));
  }
  const array = inParallel(strings);
  const lostShare = 1 - (array.volts * array.amps) / apartW;
  return { ...array, lostShare: lostShare > 1e-9 ? lostShare : 0 };
}

/** The numbers of a way, whose strings hold as many panels of each kind as `panels` has kinds. */
export function figuresOf(way: Way, panels: readonly Panel[], weather: Weather): Figures {
  const strings = way.map(string => figuresOfString(string, panels, weather));
  const over = (of: (string: StringFigures) => number | null, reckon: (known: number[]) => number) =>
    all(strings.map(of), reckon);
  const shortCircuitA = over(string => string.shortCircuitA, sum);
  const peakW = all(
    way.flatMap(string =>
      panels.map((panel, kind) =>
        string[kind] === 0 ? 0 : panel.ratedW === null ? null : string[kind]! * panel.ratedW,
      ),
    ),
    sum,
  );
  const array = together(way, panels);
  return {
    strings,
    coldOpenCircuitV: over(string => string.coldV, greatest),
    coldOpenCircuitMaxV: over(string => string.coldMaxV, greatest),
    hotOperatingV: over(string => string.hotV, least),
    operatingV: array === null ? null : array.volts,
    operatingA: array === null ? null : array.amps,
    shortCircuitA,
    designCurrentA: shortCircuitA === null ? null : designCurrentA(shortCircuitA),
    peakW,
    mismatchLostW: array === null || peakW === null ? null : peakW * array.lostShare,
  };
}
