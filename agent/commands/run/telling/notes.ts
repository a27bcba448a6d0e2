/**
 * Notes of days, as what is to be kept of a change. A note belongs to one civil day and may name a moment of it. One
 * that is removed keeps its number, so that no other gets it, and loses its words: the owner took them away.
 */
import { civilDate, zoneOffsetMs } from '#energy/civil-day';
import type { Note, NoteChange, RecordQueries } from '#messages';
import { RequestFailure } from '../../../server/failure.ts';
import type { SaidByOwner } from '../pending.ts';

/** A page of a diary, not a file. */
const MOST_A_DAY = 40;
const ANY_DATE = ['0000-00-00', '9999-99-99'] as const;

type Asked = Pick<RecordQueries, 'notes' | 'lastNote'>;

export interface NotedAt {
  readonly station: string;
  /** IANA zone in force. */
  readonly zone: string;
  readonly nowMs: number;
}

/** The notes of each date as one text, a note a line, with its time of the day where it has one. */
export function notesByDate(notes: readonly Note[], zone: string): Map<string, string> {
  const texts = new Map<string, string>();
  for (const { date, at, text } of notes) {
    const time = at === null ? '' : `${new Date(at + zoneOffsetMs(at, zone)).toISOString().slice(11, 16)} `;
    const before = texts.get(date);
    texts.set(date, `${before === undefined ? '' : `${before}\n`}${time}${text}`);
  }
  return texts;
}

/** @throws RequestFailure where there is no such note, or its moment lies on another day */
export function noteChanged(record: Asked, { station, zone, nowMs }: NotedAt, change: NoteChange): SaidByOwner {
  if (change.do === 'write') {
    const { date, text } = change;
    const at = momentOf(change.at, date, zone);
    if (date > civilDate(nowMs, zone))
      throw new RequestFailure(400, `${date} lies ahead.`, 'Note it when it is there.', 'date');
    if (record.notes(station, date, date).length >= MOST_A_DAY)
      throw new RequestFailure(400, `${date} holds ${MOST_A_DAY} notes.`, 'Put them together, or remove one.', 'text');
    const id = (record.lastNote(station)?.id ?? 0) + 1;
    return { notes: [{ station, id, date, at, text, writtenAt: nowMs, takenBackAt: null }] };
  }
  const note = record.notes(station, ...ANY_DATE).find(({ id }) => id === change.note);
  if (note === undefined)
    throw new RequestFailure(400, `There is no note ${change.note}.`, 'Load the day again: it may be gone.', 'note');
  if (change.do === 'remove') return { notes: [{ ...note, text: '', writtenAt: nowMs, takenBackAt: nowMs }] };
  return { notes: [changed(note, change, zone, nowMs)] };
}

function changed(note: Note, change: Extract<NoteChange, { do: 'change' }>, zone: string, nowMs: number): Note {
  const at = change.at === undefined ? note.at : momentOf(change.at ?? undefined, note.date, zone);
  return { ...note, at, text: change.text, writtenAt: nowMs };
}

function momentOf(told: string | undefined, date: string, zone: string): number | null {
  if (told === undefined) return null;
  const at = Date.parse(told);
  if (civilDate(at, zone) === date) return at;
  throw new RequestFailure(400, `That moment is not on ${date}.`, 'Choose a time of that day.', 'at');
}
