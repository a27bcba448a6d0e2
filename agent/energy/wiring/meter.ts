/**
 * What a meter at the end of the lead should show before anything is plugged in, and what a reading says about the
 * wiring. Volts with nothing connected, + on the marked pin.
 *
 * The cells are between the air's warmth and NOCT above it. Less light gives fewer volts: 1 to 8 % less between 800 and
 * 100 W/m² (single diode, 36 cells, 20 to 45 °C). Other bounds are own judgement.
 */
import { rossTempC } from '../laws/cell-temperature.ts';
import { type Panel, tolerancePct } from './panel.ts';
import { type PanelString, panelsIn, type Way } from './ways.ts';

export type Light = 'bright' | 'cloudy';

export interface Moment {
  light: Light;
  /** Air; null where it is not told. */
  airC: number | null;
}

/** Air taken where it is not told, °C. */
const UNTOLD_AIR_C = [0, 35] as const;
/** At most so much light on the panel, W/m², and the share of volts that less light may take. */
const LIGHT = { bright: { wm2: 1000, lessPct: 3 }, cloudy: { wm2: 300, lessPct: 10 } } as const;
/** For a panel whose own is not known, %/K: silicon, own judgement. */
const UNKNOWN_VOC_PCT_PER_K = -0.35;

export interface VoltRange {
  lowV: number;
  highV: number;
}

/** What one panel shows; null where its Voc is not known. */
function rangeOfPanel(panel: Panel, { light, airC }: Moment): VoltRange | null {
  if (panel.openCircuitV === null) return null;
  const [coolC, warmC] = airC === null ? UNTOLD_AIR_C : [airC, airC];
  const { wm2, lessPct } = LIGHT[light];
  const tolerance = tolerancePct(panel) / 100;
  const perK = (panel.openCircuitPctPerK ?? UNKNOWN_VOC_PCT_PER_K) / 100;
  const at = (cellC: number) => panel.openCircuitV! * (1 + perK * (cellC - 25));
  return {
    lowV: at(rossTempC(wm2, warmC)) * (1 - tolerance) * (1 - lessPct / 100),
    highV: at(coolC) * (1 + tolerance),
  };
}

/** What a string of `held` panels shows. */
export function rangeOf(held: PanelString, panels: readonly Panel[], moment: Moment): VoltRange | null {
  let [lowV, highV] = [0, 0];
  for (const [kind, n] of held.entries()) {
    if (n === 0) continue;
    const range = rangeOfPanel(panels[kind]!, moment);
    if (range === null) return null;
    lowV += n * range.lowV;
    highV += n * range.highV;
  }
  return { lowV, highV };
}

/** What the wired panels should show now; null where a Voc is not known. */
export function meterNow(way: Way, panels: readonly Panel[], moment: Moment): VoltRange | null {
  const ranges = way.map(string => rangeOf(string, panels, moment));
  if (ranges.includes(null)) return null;
  return {
    lowV: Math.min(...ranges.map(range => range!.lowV)),
    highV: Math.max(...ranges.map(range => range!.highV)),
  };
}

export type MistakeCode =
  | 'asExpected'
  | 'noVolts'
  | 'reversed'
  | 'panelMissing'
  | 'panelReversed'
  | 'inParallelNotSeries'
  | 'inSeriesNotParallel'
  | 'low'
  | 'high';

/** Below this share of what one panel should show there is no circuit or no light. */
const NOTHING_SHARE = 0.25;

/**
 * What a reading says, the likeliest first; `asExpected` where it is in range. Never more than a hint: a string missing
 * in parallel cannot be seen in volts.
 *
 * @param readingV as the meter shows it, negative where it shows a minus
 */
export function mistakesAt(readingV: number, way: Way, panels: readonly Panel[], moment: Moment): MistakeCode[] {
  const expected = meterNow(way, panels, moment);
  if (expected === null) return [];
  const volts = Math.abs(readingV);
  const within = (range: VoltRange | null) => range !== null && volts >= range.lowV && volts <= range.highV;
  if (volts < NOTHING_SHARE * leastPanelV(way, panels, moment)) return ['noVolts'];
  if (readingV < 0) return within(expected) ? ['reversed'] : ['reversed', ...lowOrHigh(volts, expected)];
  if (within(expected)) return ['asExpected'];
  const found: MistakeCode[] = [];
  const string = way[0]!;
  const others = (less: number) => string.map((n, kind) => (n >= less ? string.with(kind, n - less) : null));
  const anyOf = (strings: readonly (PanelString | null)[]) =>
    strings.some(held => held !== null && panelsIn(held) > 0 && within(rangeOf(held, panels, moment)));
  if (volts > expected.highV) {
    const more = Array.from({ length: way.length - 1 }, (_, i) => string.map(n => n * (i + 2)));
    return anyOf(more) ? ['inSeriesNotParallel'] : ['high'];
  }
  if (panelsIn(string) > 1) {
    const single = string.map((_, kind) => string.map((n, other) => (other === kind && n > 0 ? 1 : 0)));
    if (anyOf(others(1))) found.push('panelMissing');
    if (anyOf(single)) found.push('inParallelNotSeries');
    if (anyOf(others(2))) found.push('panelReversed');
  }
  return found.length > 0 ? found : ['low'];
}

const lowOrHigh = (volts: number, { lowV, highV }: VoltRange): MistakeCode[] => {
  if (volts > highV) return ['high'];
  return volts < lowV ? ['low'] : [];
};

const leastPanelV = (way: Way, panels: readonly Panel[], moment: Moment): number =>
  Math.min(
    ...panels
      .filter((_, kind) => way.some(string => string[kind]! > 0))
      .map(panel => rangeOfPanel(panel, moment)?.lowV ?? Number.POSITIVE_INFINITY),
  );
