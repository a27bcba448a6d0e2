/** From a wiring to what its drawing and its rulers are laid out from. Pure. */
import type { Units } from '#energy/wiring/index';
import type { WiringPlan } from '../../charts/wiring-layout.ts';
import type { RulerPlan } from '../../charts/wiring-ruler.ts';
import * as words from '../../words/wiring.ts';
import type { Wiring } from './model.ts';
import { letterOf } from './telling.ts';

/** Longer names would leave the port's box. */
const PORT_NAME_LETTERS = 14;

export function drawingPlan({ chosen, kinds, port }: Wiring, units: Units): WiringPlan {
  const next = kinds.map(() => 0);
  const nameOf = (kind: number) => {
    next[kind]! += 1;
    return kinds.length === 1 ? String(next[kind]) : `${letterOf(kind)}${next[kind]}`;
  };
  const sizeA = chosen.fuse?.sizeA ?? null;
  const name = port.name.length > PORT_NAME_LETTERS ? `${port.name.slice(0, PORT_NAME_LETTERS - 1)}…` : port.name;
  return {
    strings: chosen.strings.map(string => string.flatMap((n, kind) => Array.from({ length: n }, () => nameOf(kind)))),
    fuse: !chosen.stringFuses ? null : sizeA === null ? words.FUSE : units.amps(sizeA),
    port: [words.STATION, name],
    words: { link: words.LINK, morePanels: words.morePanels, moreStrings: words.moreStrings },
  };
}

/** Null where Voc or the coldest morning is not told. */
export function voltsRuler({ chosen, port, weather }: Wiring, units: Units): RulerPlan | null {
  const { coldOpenCircuitV: cold, coldOpenCircuitMaxV: most, hotOperatingV: hot } = chosen;
  if (cold === null || weather.coldestC === null) return null;
  return {
    name: words.VOLTS,
    low: port.minV,
    limit: port.maxV === null ? null : { at: port.maxV, words: words.hardStop(units.volts(port.maxV)) },
    mark: {
      at: cold,
      words: words.coldOpen(units.volts(cold), units.tempC(weather.coldestC), most === null ? null : units.volts(most)),
      most,
    },
    from: hot === null ? null : { at: hot, words: words.workingHot(units.volts(hot)) },
  };
}

/** Null where Isc is not told. */
export function ampsRuler({ chosen, port }: Wiring, units: Units): RulerPlan | null {
  const design = chosen.designCurrentA;
  if (design === null) return null;
  return {
    name: words.AMPS,
    low: null,
    limit: port.maxA === null ? null : { at: port.maxA, words: units.amps(port.maxA) },
    mark: { at: design, words: words.designCurrent(units.amps(design)), most: null },
    from: null,
  };
}

/** A ruler in a sentence. */
export const rulerSays = ({ name, limit, mark, from }: RulerPlan): string =>
  words.rulerSays(
    name,
    [mark.words, from?.words, limit?.words].filter(part => part !== undefined),
  );
