/** What is told of the state of the record: in the log, by doctor, and in the page's notice. */
import type { RecordNote } from '#messages';

const MEGABYTE = 1e6;
/** Rounded up to tens, so that it is enough. */
const megabytesUp = (bytes: number): number => Math.max(10, Math.ceil(bytes / MEGABYTE / 10) * 10);

export const brokenDay = (date: string): string => `Stored day ${date} no longer matches its seal`;

export const rescued = (keptAs: string, readings: number, lostBlocks: number): string =>
  `The record was damaged. What could be read lies in a fresh one: ${readings} readings` +
  `${lostBlocks === 0 ? '' : `, ${lostBlocks} pieces of at most an hour are lost`}. ` +
  `The damaged file is kept as ${keptAs}`;

export const DAMAGED = 'The record is damaged. Start the agent again: it keeps the file and rescues what can be read';

/** One sentence a note, each with its end. */
export function noteTold(note: RecordNote): string {
  switch (note.kind) {
    case 'toFree':
      return `Free at least ${megabytesUp(note.bytes)} MB.`;
    case 'lowSpace':
      return (
        `Little room is left on the disk of the record: ${Math.floor(note.freeBytes / MEGABYTE)} MB. ` +
        `Free ${megabytesUp(note.wantedBytes - note.freeBytes)} MB before saving stops.`
      );
    case 'brokenDay':
      return `${brokenDay(note.date)} (${note.station}). Restore a snapshot that is older than the damage, or go by its totals with care.`;
    case 'rescued':
      return `${rescued(note.keptAs, note.readings, note.lostBlocks)}.`;
    case 'willLetGo':
      return (
        `From ${new Date(note.goesAt).toISOString().slice(0, 10)} on, single readings older than ${note.keepRawDays} days are let go; ` +
        'their minutes and days stay for ever. To keep every reading, set record.keepRawDays to 0 in Setup.'
      );
    case 'longLog':
      return (
        `The log beside the record has grown to ${Math.round(note.bytes / MEGABYTE)} MB (64 MB is the limit): another program has kept the record open for reading. ` +
        'Nothing is lost; end that program, such as a backup or a database viewer, and the log is written back.'
      );
    case 'lostLog':
      return (
        `${note.keptAs === null ? "The record's log (record.db-wal) was missing at this start" : `Another record's log lay in the place of this record's own at this start; it is kept as ${note.keptAs}`}. ` +
        `${note.lastAt === null ? 'What had been saved' : `What had been saved after ${new Date(note.lastAt).toISOString()}`} ${note.keptAs === null ? 'is' : 'may be'} lost and stands as a gap. ` +
        'To copy or move a record, use wattkeep snapshot and wattkeep restore.'
      );
    case 'damaged':
      return `${DAMAGED}.`;
  }
}

/** Ahead by more than this the record does not meet the clock again by itself (`agent/derive/stamp`), ms. */
const FAR_AHEAD_MS = 14 * 3_600_000;

/** What is to be known of a record that reaches into the future; empty where none does. Instants UTC epoch ms. */
export function aheadTold(lastSavedAt: number | null, nowMs: number): string[] {
  if (lastSavedAt === null || lastSavedAt - nowMs <= FAR_AHEAD_MS) return [];
  return [
    `The record reaches to ${new Date(lastSavedAt).toISOString().slice(0, 10)}, ahead of this computer's clock. ` +
      'If the clock is wrong, set it. If the record was made under a wrong clock, what is read now stands at wrong dates behind ' +
      'it: stop the agent and restore a snapshot from before.',
  ];
}

/** What a full disk leaves to say of little room is said already. */
export const notesTold = (notes: readonly RecordNote[]): string[] =>
  notes.filter(note => note.kind !== 'lowSpace' || !notes.some(n => n.kind === 'toFree')).map(noteTold);
