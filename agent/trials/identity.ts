/**
 * The identity of a trial, by which its result is cited: station, kind, civil date of its start and six letters of a
 * digest of what was chosen and when. Short enough to be typed, and an address on its own.
 */

/** Without letters and digits that are taken for one another. */
const LETTERS = '23456789abcdefghjkmnpqrstuvwxyz';
const DIGEST_LETTERS = 6;
const STATION_LETTERS = 12;

/** FNV-1a, 32 bits, http://www.isthe.com/chongo/tech/comp/fnv (from memory). */
function fnv1a(text: string, seed: number): number {
  let hash = (0x811c9dc5 ^ seed) >>> 0;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193) >>> 0;
  return hash;
}

function digest(text: string): string {
  let rest = fnv1a(text, 0) * 0x100000 + (fnv1a(text, 0x9e3779b9) & 0xfffff);
  let letters = '';
  for (let i = 0; i < DIGEST_LETTERS; i++) {
    letters += LETTERS[rest % LETTERS.length]!;
    rest = Math.floor(rest / LETTERS.length);
  }
  return letters;
}

export interface Identified {
  readonly station: string;
  readonly kind: string;
  readonly startedAt: number;
  /** Civil date of the start, `YYYY-MM-DD`. */
  readonly date: string;
  readonly chosen: string;
}

/** @param isTaken whether a trial ever had this id, a removed one too */
export function trialId(of: Identified, isTaken: (id: string) => boolean): string {
  const station = of.station.slice(0, STATION_LETTERS).replace(/-+$/, '');
  const stem = `${station}-${of.kind.toLowerCase()}-${of.date.slice(2).replaceAll('-', '')}`;
  for (let again = 0; ; again++) {
    const id = `${stem}-${digest(`${of.station} ${of.kind} ${of.startedAt} ${of.chosen} ${again}`)}`;
    if (!isTaken(id)) return id;
  }
}
