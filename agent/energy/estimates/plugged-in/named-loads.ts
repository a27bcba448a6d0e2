/** Which load is which: the owner's names, each given to the load whose watts are nearest, within 15 %. */
import type { PluggedIn } from './plugged-in.ts';

export interface NamedLoad {
  name: string;
  /** What it drew when it was named, W. */
  powerW: number;
  mustStayOn: boolean;
}

export const NEAR = 0.15;

/** One entry a load, in their order; null where nobody named it. A name serves once. */
export function namesFor(loads: readonly PluggedIn[], named: readonly NamedLoad[]): (NamedLoad | null)[] {
  const pairs = loads.flatMap((load, i) =>
    named.flatMap(name => {
      const off = Math.abs(load.powerW - name.powerW) / name.powerW;
      return off <= NEAR ? [{ i, name, off }] : [];
    }),
  );
  const found = new Array<NamedLoad | null>(loads.length).fill(null);
  const used = new Set<NamedLoad>();
  for (const { i, name } of pairs.sort((a, b) => a.off - b.off)) {
    if (found[i] !== null || used.has(name)) continue;
    found[i] = name;
    used.add(name);
  }
  return found;
}
