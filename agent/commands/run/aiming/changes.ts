/**
 * What the owner changes about marks and spots, as what is to be kept of it in one commit; a spot's plane and where the panels stand
 * are facts with the date they became true, so that a change never rewrites what was before.
 */
import type { Measure } from '#energy/estimates/aiming/asked';
import { WattkeepError } from '#kit';
import type { Mark, MarkChange, MarkChoice, Spot, SpotChange } from '#messages';
import { planeKey, spotPlaneAt, staysOf } from '../../../derive/standing.ts';
import type { SaidByOwner } from '../pending.ts';
import type { KeptAim } from './kept.ts';

/** Panels that were said to stand somewhere may be put right for this long and still stand there. */
const PUT_RIGHT_MS = 20_000;
/** A carry of simulated panels is over by then. */
const CARRIED_MS = 30_000;
const MOST_SPOTS = 60;
const LONGEST_ID = 30;

const refuse = (message: string, fix: string): WattkeepError => new WattkeepError('REQUEST_INVALID', message, fix);

/**
 * The spot the panels stand at as far as was said; null where they were moved since.
 *
 * @param movedAtMs when they were last seen to be moved; null: not in this run
 */
export function spotStoodAt(kept: KeptAim, movedAtMs: number | null, nowMs: number): string | null {
  const stay = kept.stay(nowMs);
  if (stay === null || stay.spot === null) return null;
  return movedAtMs !== null && movedAtMs > stay.fromMs + PUT_RIGHT_MS ? null : stay.spot;
}

/** Marks that were made at the place of this one. */
const alike = (marks: readonly Mark[], mark: Mark): Mark[] => {
  const first = mark.againOf ?? mark.id;
  return marks.filter(m => (m.againOf ?? m.id) === first);
};

function markOf(kept: KeptAim, id: number, nowMs: number): Mark {
  const mark = kept.walkMarks(nowMs).find(m => m.id === id);
  if (mark !== undefined) return mark;
  throw refuse(`This walk has no mark ${id}.`, 'Only marks of the present walk can be changed.');
}

/** A mark of what was measured, and where the panels stand as far as that says. @param movedAtMs as above */
export function makeMark(
  kept: KeptAim,
  measure: Measure,
  movedAtMs: number | null,
  choice: MarkChoice,
  nowMs: number,
): { mark: Mark; said: SaidByOwner } {
  const again = choice.again === undefined ? null : markOf(kept, choice.again, nowMs);
  const told = spotStoodAt(kept, movedAtMs, nowMs);
  const spot = again === null ? told : again.spot;
  const place = { spot, againOf: again === null ? null : (again.againOf ?? again.id), note: choice.note ?? '' };
  const mark = kept.nextMark(measure, place, nowMs);
  // Moved since it was last said where they stand: from that move on they stand at the mark's spot, named or not.
  const elsewhere = (kept.stay(nowMs)?.spot ?? null) !== spot;
  const facts = elsewhere ? kept.standing(spot, measure.movedAtMs) : [];
  return { mark, said: { marks: [mark], facts } };
}

/** @param measure of the judge now; null while nothing was measured since the last move */
export function marksChanged(kept: KeptAim, change: MarkChange, measure: Measure | null, nowMs: number): SaidByOwner {
  if (change.do === 'walk') return { facts: [kept.newWalk(nowMs)] };
  if (change.do === 'undo') {
    const last = kept.walkMarks(nowMs).at(-1);
    if (last === undefined) throw refuse('This walk has no mark.', 'There is nothing to take back.');
    return { marks: [{ ...last, takenBackAt: nowMs }] };
  }
  const mark = markOf(kept, change.mark, nowMs);
  if (change.do === 'note') return { marks: [{ ...mark, note: change.note }] };
  return named(kept, mark, change.name, measure, nowMs);
}

function named(kept: KeptAim, mark: Mark, name: string, measure: Measure | null, nowMs: number): SaidByOwner {
  const known = byName(kept, name);
  const own = kept.spots().find(spot => spot.id === mark.spot);
  // A name nobody has, for a mark whose spot was first named on this walk: it is put right. Older spots stay as they are.
  if (known === undefined && own !== undefined && isOfThisWalk(kept, own, nowMs)) return { spots: [{ ...own, name }] };
  const spot = known ?? newSpot(kept, name);
  const marks = alike(kept.walkMarks(nowMs), mark).map(m => ({ ...m, spot: spot.id }));
  const standsThere = measure !== null && marks.some(m => m.at >= measure.movedAtMs);
  return {
    marks,
    ...(known === undefined ? { spots: [spot] } : {}),
    ...(standsThere ? { facts: kept.standing(spot.id, measure.movedAtMs) } : {}),
  };
}

/** Whether panels were never said to stand at a spot before the first mark of this walk. */
function isOfThisWalk(kept: KeptAim, { id }: Spot, nowMs: number): boolean {
  const fromMs = kept.walkMarks(nowMs)[0]?.movedAt ?? nowMs;
  return !staysOf(kept.facts()).some(stay => stay.spot === id && stay.fromMs < fromMs);
}

const byName = (kept: KeptAim, name: string): Spot | undefined =>
  kept.spots().find(spot => spot.name.toLowerCase() === name.toLowerCase());

function newSpot(kept: KeptAim, name: string): Spot {
  if (kept.spots().length >= MOST_SPOTS) throw refuse(`There are ${MOST_SPOTS} spots.`, 'Remove one that is not used.');
  const words = name
    .normalize('NFKD')
    .replace(/\p{M}/gu, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, LONGEST_ID)
    .replace(/^-+|-+$/g, '');
  const stem = words === '' ? 'spot' : words;
  const taken = new Set(kept.everySpot().map(spot => spot.id));
  let id = stem;
  for (let n = 2; taken.has(id); n++) id = `${stem}-${n}`;
  return { station: kept.station, id, name, note: '', removedAt: null };
}

export function spotOf(kept: KeptAim, id: string): Spot {
  const spot = kept.spots().find(s => s.id === id);
  if (spot !== undefined) return spot;
  throw refuse(`There is no spot "${id}".`, 'GET aim lists the spots of the station.');
}

/** Simulated panels are carried, and stand at the spot some time later. */
export function carriedTo(kept: KeptAim, spot: string, nowMs: number, canBe: boolean): SaidByOwner {
  if (!canBe) throw refuse('Only simulated panels can be carried from here.', 'Carry them.');
  spotOf(kept, spot);
  const [taken, ...later] = kept.standing(null, nowMs);
  const [setDown] = kept.standing(spot, nowMs + CARRIED_MS);
  return { facts: [taken!, ...later, setDown!] };
}

/** Everything but `carry`, which only simulated panels can do. */
export function spotsChanged(kept: KeptAim, change: Exclude<SpotChange, { do: 'carry' }>, nowMs: number): SaidByOwner {
  if (change.do === 'add') {
    refuseTaken(kept, change.name, null);
    return { spots: [newSpot(kept, change.name)] };
  }
  if (change.do === 'stand') {
    if (change.spot !== null) spotOf(kept, change.spot);
    return { facts: kept.standing(change.spot, nowMs) };
  }
  const spot = spotOf(kept, change.spot);
  if (change.do === 'change') return changed(kept, spot, change, nowMs);
  const stands = kept.stay(nowMs)?.spot === spot.id;
  return { spots: [{ ...spot, removedAt: nowMs }], facts: stands ? kept.standing(null, nowMs) : [] };
}

function refuseTaken(kept: KeptAim, name: string, but: string | null): void {
  const other = byName(kept, name);
  if (other === undefined || other.id === but) return;
  throw refuse(`There is a spot named "${other.name}" already.`, 'Choose another name.');
}

function changed(
  kept: KeptAim,
  spot: Spot,
  { name, note, tiltDeg, azimuthDeg }: Extract<SpotChange, { do: 'change' }>,
  nowMs: number,
): SaidByOwner {
  if (name !== undefined) refuseTaken(kept, name, spot.id);
  const before = spotPlaneAt(kept.facts(), spot.id, nowMs);
  const after = {
    tiltDeg: tiltDeg === undefined ? before.tiltDeg : tiltDeg,
    azimuthDeg: azimuthDeg === undefined ? before.azimuthDeg : azimuthDeg,
  };
  const turned = after.tiltDeg !== before.tiltDeg || after.azimuthDeg !== before.azimuthDeg;
  const fact = { station: kept.station, key: planeKey(spot.id), valueJson: JSON.stringify(after), validFromMs: nowMs };
  return {
    spots: [{ ...spot, name: name ?? spot.name, note: note ?? spot.note }],
    ...(turned ? { facts: [fact] } : {}),
  };
}
