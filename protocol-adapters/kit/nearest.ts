/** The known name that a mistyped one most likely meant: the fewest letters to change, case aside. */

/** Levenshtein distance. */
export function editDistance(a: string, b: string): number {
  let row = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const next = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = a[i - 1] === b[j - 1] ? 0 : 1;
      next.push(Math.min(row[j - 1]! + change, row[j]! + 1, next[j - 1]! + 1));
    }
    row = next;
  }
  return row[b.length]!;
}

/** The nearest of `known`, or null where none is close enough to be what was meant. */
export function nearestName(written: string, known: readonly string[]): string | null {
  const wanted = written.slice(0, 80).toLowerCase();
  let best: string | null = null;
  let least = Math.max(2, Math.floor(wanted.length / 2)) + 1;
  for (const name of known) {
    const candidate = name.toLowerCase();
    // Names end in their unit, and the unit is what one forgets.
    const far = wanted.length > 2 && candidate.startsWith(wanted) ? 1 : editDistance(wanted, candidate);
    if (far < least) [best, least] = [name, far];
  }
  return best;
}
