/**
 * Where the watts of a spike that is cut off are written: beside it or within it, never over a flank of the line. Where
 * several crowd, the highest keep theirs; what finds no room is left out, since the reading of the drawing tells it. Pure;
 * CSS pixels across.
 */

export interface Cut {
  readonly at: number;
  readonly watts: number;
  readonly label: string;
}

export interface OutgoingLine {
  readonly at: readonly number[];
  /** Watts as they are drawn; null where nothing is. */
  readonly output: readonly (number | null | undefined)[];
  /** Watts from which on the line stands where the labels do. */
  readonly tallW: number;
}

export interface Across {
  readonly left: number;
  readonly right: number;
  x(at: number): number;
  width(label: string): number;
}

const BESIDE_PX = 5;
const APART_PX = 6;

/** @returns the left end of each label that has room */
export function placeCuts(cuts: readonly Cut[], line: OutgoingLine, across: Across): { x: number; label: string }[] {
  const isTall = (i: number) => (line.output[i] ?? 0) > line.tallW;
  const flanks = line.at.flatMap((at, i) => (i > 0 && isTall(i) !== isTall(i - 1) ? across.x(at) : []));
  const taken: { from: number; to: number; label: string }[] = [];
  const isFree = (from: number, to: number) =>
    from >= across.left &&
    to <= across.right &&
    !flanks.some(x => x > from - 2 && x < to + 2) &&
    !taken.some(other => from < other.to + APART_PX && to > other.from - APART_PX);
  for (const { at, label } of [...cuts].sort((a, b) => b.watts - a.watts)) {
    const width = across.width(label);
    const [start, end] = spikeOf(line, isTall, at);
    const [from, to] = [across.x(start), across.x(end)];
    const places = [to + BESIDE_PX, from - BESIDE_PX - width, (from + to - width) / 2];
    const x = places.find(place => isFree(place, place + width));
    if (x !== undefined) taken.push({ from: x, to: x + width, label });
  }
  return taken.map(({ from, label }) => ({ x: from, label }));
}

/** The moments between which the line stays tall around one; the one after it ends is part of its flank. */
function spikeOf({ at }: OutgoingLine, isTall: (i: number) => boolean, moment: number): [from: number, to: number] {
  const i = at.indexOf(moment);
  if (i < 0) return [moment, moment];
  let [first, last] = [i, i];
  while (first > 0 && isTall(first - 1)) first--;
  while (last < at.length - 1 && isTall(last)) last++;
  return [at[first]!, at[last]!];
}
