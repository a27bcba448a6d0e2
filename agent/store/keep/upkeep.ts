/**
 * What the record does for itself while an agent runs, one small piece a call: the reserve, seals of days that are over,
 * checks of seals (a few at the start and each of them once a month), and raw readings let go whose time is over.
 */
import type { RecordNote } from '#messages';
import type { Connection } from '../kept.ts';
import { cutOf } from '../retention.ts';
import { type BrokenDay, openSeals } from './day-seals.ts';
import { openFirstNotice, prepareFirstNotice } from './first-notice.ts';
import { openLettingGo } from './let-go.ts';
import { type Reserve, type Space, spaceOf } from './reserve.ts';

/** Days a piece: some 200 KB each where a station tells eight values a second. */
const DAYS_A_PIECE = 8;
const CHECK_EVERY_MS = 30 * 86_400_000;
/** How often it is looked whether another day is over. */
const LOOK_EVERY_MS = 15 * 60_000;

export interface Upkeep {
  /** One piece; gives the days newly found broken. Throws what the record and the disk can say. */
  piece(nowMs: number): BrokenDay[];
  notes(): RecordNote[];
}

export interface LetGoTerms {
  /** Days that raw readings are kept, asked at each piece; null: for ever. */
  keepRawDays(): number | null;
  /** How long it is told before readings go for the first time. */
  noticeMs: number;
}

export function openUpkeep(db: Connection, dir: string, reserve: Reserve, terms: LetGoTerms): Upkeep {
  const seals = openSeals(db);
  const lettingGo = openLettingGo(db, seals);
  const notice = openFirstNotice(db, terms.noticeMs);
  const toldBefore = prepareFirstNotice(db);
  let broken = seals.broken();
  let started = false;
  let lookAt = Number.NEGATIVE_INFINITY;
  let space: Space | null = null;

  const sealAndCheck = (nowMs: number): BrokenDay[] => {
    if (!started) {
      started = true;
      return seals.check(nowMs, nowMs, DAYS_A_PIECE).broken;
    }
    if (nowMs < lookAt) return [];
    const keepRawDays = terms.keepRawDays();
    const mayGo = notice.mayGo(nowMs, cutOf(nowMs, keepRawDays), keepRawDays);
    const { looked, broken: kept } = lettingGo.piece(nowMs, mayGo ? keepRawDays : null);
    // Before seals: those of the days it touched are gone, and are made anew once.
    if (looked) return kept;
    const { sealed, broken: bad } = seals.seal(nowMs, DAYS_A_PIECE);
    if (sealed > 0) return bad;
    const due = seals.check(nowMs, nowMs - CHECK_EVERY_MS, DAYS_A_PIECE);
    if (due.checked === 0) lookAt = nowMs + LOOK_EVERY_MS;
    return due.broken;
  };

  return {
    piece: nowMs => {
      space = spaceOf(dir);
      reserve.fill(space.freeBytes);
      const known = new Set(broken.map(day => `${day.station} ${day.date}`));
      const found = sealAndCheck(nowMs);
      broken = seals.broken();
      return found.filter(day => !known.has(`${day.station} ${day.date}`));
    },
    notes: () => [
      ...(space !== null && space.freeBytes < space.lowBytes
        ? [{ kind: 'lowSpace' as const, freeBytes: space.freeBytes, wantedBytes: space.lowBytes }]
        : []),
      ...toldBefore(),
      ...broken.map(day => ({ kind: 'brokenDay' as const, ...day })),
    ],
  };
}
