/** The known name closest to a mistyped one, by the number of letters to change (Levenshtein), case aside. */

function distance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const swap = row[j - 1]! + (a[i - 1] === b[j - 1] ? 0 : 1);
      next.push(Math.min(swap, row[j]! + 1, next[j - 1]! + 1));
    }
    row = next;
  }
  return row[b.length]!;
}

/** Throws RangeError where there is no name at all. Names of over 80 letters are compared by their first 80. */
export function nearest(name: string, known: readonly string[]): string {
  const wanted = name.slice(0, 80).toLowerCase();
  let best: { name: string; far: number } | undefined;
  for (const candidate of known) {
    const far = distance(wanted, candidate.toLowerCase());
    if (best === undefined || far < best.far) best = { name: candidate, far };
  }
  if (best === undefined) throw new RangeError('no known names');
  return best.name;
}
