/**
 * The ways in which panels can be wired: strings of panels in series, the strings in parallel.
 *
 * Of one kind: every series × parallel that the panels suffice for. Of two kinds also: equal strings that hold some of
 * each, and strings of the one beside strings of the other, for each of the former the latter whose voltage lies
 * nearest, as unequal strings in parallel are the mistake to be told, not a choice.
 */
import type { Panel } from './panel.ts';

/** How many panels of each kind it holds, in the order of the kinds. */
export type PanelString = readonly number[];
/** The strings in parallel. */
export type Way = readonly PanelString[];

/** Two kinds are mixed only up to so many panels of each, to keep the list readable. */
export const MOST_MIXED = 12;

export const panelsIn = (string: PanelString): number => string.reduce((sum, n) => sum + n, 0);

/** How many of each kind a way takes. */
export const usedBy = (way: Way, kinds: number): number[] =>
  Array.from({ length: kinds }, (_, kind) => way.reduce((sum, string) => sum + string[kind]!, 0));

const times = (parallel: number, string: PanelString): Way => Array.from({ length: parallel }, () => string);
const upTo = (most: number): number[] => Array.from({ length: most }, (_, i) => i + 1);

/** Every way, one of each; empty where there are no panels. */
export function waysOf(panels: readonly Panel[]): Way[] {
  const alone = panels.flatMap((panel, kind) => uniform(panel.count, kind, panels.length));
  const pairs = panels.flatMap((_, a) => upTo(panels.length - 1 - a).map(step => [a, a + step] as const));
  return [...alone, ...pairs.flatMap(([a, b]) => [...mixedStrings(panels, a, b), ...besideEachOther(panels, a, b)])];
}

const stringOf = (kinds: number, held: Readonly<Record<number, number>>): PanelString =>
  Array.from({ length: kinds }, (_, kind) => held[kind] ?? 0);

const uniform = (count: number, kind: number, kinds: number): Way[] =>
  upTo(count).flatMap(series =>
    upTo(Math.floor(count / series)).map(parallel => times(parallel, stringOf(kinds, { [kind]: series }))),
  );

function mixedStrings(panels: readonly Panel[], a: number, b: number): Way[] {
  const [countA, countB] = [mixable(panels[a]!), mixable(panels[b]!)];
  return upTo(countA).flatMap(ofA =>
    upTo(countB).flatMap(ofB =>
      upTo(Math.floor(Math.min(countA / ofA, countB / ofB))).map(parallel =>
        times(parallel, stringOf(panels.length, { [a]: ofA, [b]: ofB })),
      ),
    ),
  );
}

function besideEachOther(panels: readonly Panel[], a: number, b: number): Way[] {
  const [panelA, panelB] = [panels[a]!, panels[b]!];
  const [voltsA, voltsB] = [panelA.openCircuitV, panelB.openCircuitV];
  if (voltsA === null || voltsB === null) return [];
  return upTo(mixable(panelA)).flatMap(ofA => {
    const nearest = Math.round((ofA * voltsA) / voltsB);
    const ofB = Math.min(mixable(panelB), Math.max(1, nearest));
    return upTo(Math.floor(mixable(panelA) / ofA)).flatMap(stringsA =>
      upTo(Math.floor(mixable(panelB) / ofB)).map(stringsB => [
        ...times(stringsA, stringOf(panels.length, { [a]: ofA })),
        ...times(stringsB, stringOf(panels.length, { [b]: ofB })),
      ]),
    );
  });
}

const mixable = (panel: Panel): number => Math.min(panel.count, MOST_MIXED);
