/** A wiring in words: names of ways, the line of assumptions, what each row says, what the drawing shows. */
import {
  type Arrangement,
  callsFor,
  isSafe,
  type Panel,
  type PanelString,
  type Port,
  type Reason,
  say,
  type Units,
} from '#energy/wiring/index';
import type { Formats } from '../../format.ts';
import { GAP } from '../../format.ts';
import * as words from '../../words/wiring.ts';
import type { Wiring } from './model.ts';

/** At most one decimal place, none where it says nothing. */
const short = (formats: Formats, value: number, decimals = 1): string => {
  const rounded = Number(value.toFixed(decimals));
  const places = [0, 1, 2].find(n => Number(rounded.toFixed(n)) === rounded) ?? decimals;
  return formats.number(rounded, places);
};

/** Numbers as the page writes them. @param formats knows the reader's language and temperature scale */
export const unitsOf = (formats: Formats, scale: 'C' | 'F'): Units => ({
  volts: v => `${short(formats, v)}${GAP}V`,
  amps: a => `${short(formats, a)}${GAP}A`,
  watts: w => `${short(formats, w, 0)}${GAP}W`,
  tempC: c => (scale === 'F' ? `${short(formats, c * 1.8 + 32)}${GAP}°F` : `${short(formats, c)}${GAP}°C`),
  percent: p => `${short(formats, p)}${GAP}%`,
  percentPerK: p =>
    scale === 'F' ? `${short(formats, p / 1.8, 2)}${GAP}% a degree F` : `${short(formats, p, 2)}${GAP}% a degree C`,
});

/** `three in series`, `two strings of three`; of two kinds the strings one by one. */
export function wayName({ strings, series, parallel }: Arrangement, kinds: readonly Panel[]): string {
  if (kinds.length === 1) {
    if (parallel === 1) return words.inSeries(series);
    return series === 1 ? words.inParallel(parallel) : words.stringsOf(parallel, series);
  }
  const alike = new Map<string, { string: PanelString; times: number }>();
  for (const string of strings) {
    const before = alike.get(string.join())?.times ?? 0;
    alike.set(string.join(), { string, times: before + 1 });
  }
  return words.together([...alike.values()].map(({ string, times }) => stringsName(string, times, kinds)));
}

function stringsName(string: PanelString, times: number, kinds: readonly Panel[]): string {
  const panels = string.reduce((sum, n) => sum + n, 0);
  const held = string.flatMap((n, kind) => (n === 0 ? [] : [words.ofKind(kinds[kind]!.name, n)]));
  if (times === 1) return words.stringHolds(held, panels);
  return panels === 1
    ? words.manyAlone(times, kinds[string.indexOf(1)]!.name)
    : words.manyStrings(times, held.join(' + '));
}

export const sentenceOf = ({ chosen, kinds }: Wiring): string => words.sentence(wayName(chosen, kinds), chosen.verdict);

/** What the verdict rests on, the coldest morning apart since it is set stronger. */
export function restsOn({ kinds, port, weather }: Wiring, units: Units, formats: Formats) {
  const panels = kinds.map(({ count, ratedW, openCircuitV, shortCircuitA, openCircuitPctPerK }) =>
    words.kindTold(words.counted(count).toLowerCase(), ratedW === null ? '' : units.watts(ratedW), [
      ...(openCircuitV === null ? [] : [words.voc(units.volts(openCircuitV))]),
      ...(shortCircuitA === null ? [] : [words.isc(units.amps(shortCircuitA))]),
      ...(openCircuitPctPerK === null ? [] : [`${short(formats, openCircuitPctPerK, 2)}${GAP}%/K`]),
    ]),
  );
  return {
    coldest: weather.coldestC === null ? null : units.tempC(weather.coldestC),
    rest: [...panels, words.portTold(limitsOf(port, units, formats))].join(' · '),
  };
}

function limitsOf({ minV, maxV, maxA, maxW }: Port, units: Units, formats: Formats): string[] {
  const volts =
    maxV === null
      ? []
      : [minV === null ? words.upTo(units.volts(maxV)) : words.between(short(formats, minV), units.volts(maxV))];
  return [...volts, ...(maxA === null ? [] : [units.amps(maxA)]), ...(maxW === null ? [] : [units.watts(maxW)])];
}

/** Said once for all ways, apart from the reasons. */
const ASSUMPTIONS: readonly Reason['code'][] = ['byTable', 'toleranceAssumed', 'powerPctAssumed', 'hottestAssumed'];
/** Said by the row's own figures. */
const FIGURES: readonly Reason['code'][] = ['coldVolts', 'designCurrent'];

export const assumptionsOf = ({ reasons }: Arrangement, units: Units): string[] =>
  reasons.filter(({ code }) => ASSUMPTIONS.includes(code)).map(reason => say(reason, units));

/** Why the verdict is what it is, then the fuses it needs; what is left over or lost is said of what may be used. */
export const reasonsOf = ({ reasons, verdict }: Arrangement, units: Units): string[] =>
  reasons
    .filter(({ code }) => !ASSUMPTIONS.includes(code) && !FIGURES.includes(code))
    .filter(reason =>
      callsFor(reason) === 'fits' ? isSafe(verdict) || reason.code === 'stringFuses' : callsFor(reason) === verdict,
    )
    .map(reason => say(reason, units));

/** Cold volts and design amps, as in the ruler. */
export const figuresOf = ({ coldOpenCircuitV, designCurrentA }: Arrangement, units: Units): string =>
  [
    ...(coldOpenCircuitV === null ? [] : [words.coldShort(units.volts(coldOpenCircuitV))]),
    ...(designCurrentA === null ? [] : [units.amps(designCurrentA)]),
  ].join(', ');

/** What the drawing shows, for its caption and for those who do not see it. */
export function drawingSays(wiring: Wiring, units: Units): string[] {
  const { chosen, kinds } = wiring;
  const sizeA = chosen.fuse?.sizeA ?? null;
  return [
    chosen.series > 1 ? words.drawnSeries : chosen.parallel > 1 ? '' : words.drawnSingle,
    chosen.parallel > 1 ? words.drawnParallel : '',
    !chosen.stringFuses ? '' : sizeA === null ? words.drawnFusesUnsized : words.drawnFuses(units.amps(sizeA)),
    ...(kinds.length === 1 ? [] : kinds.map(({ name }, i) => `${words.kindKey(letterOf(i), name)}.`)),
  ].filter(part => part !== '');
}

/** A for the first kind, B for the second. */
export const letterOf = (kind: number): string => String.fromCharCode(65 + kind);
