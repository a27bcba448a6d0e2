/**
 * What SQLite and the file system say, in the closed list of codes with what to do. The names are SQLite's extended
 * result codes and Node's system errors.
 */
import { ERROR_CODES, type ErrorCode, WattkeepError } from '#kit';
import type { SavedState } from '#messages';
import { CodecError } from './codec/varint.ts';

const FIXES = {
  USAGE: 'Name a file or folder that is there, or one that can be made.',
  DISK_FULL: 'Free some space on that disk. Saving goes on by itself with the next commit.',
  DISK_READ_ONLY: 'Make the disk and the folder writable for your user again, or name another folder with --data.',
  RECORD_DAMAGED:
    'Nothing was changed. Start the agent: it keeps the file and rescues what can be read. Or restore a snapshot.',
  DATA_PERMISSION: 'Give your user the folder (chown) or name another one with --data.',
  DATA_BUSY: 'Stop the other program that uses this folder, or name another folder with --data.',
  INTERNAL: 'This is a fault in wattkeep. Please report it with the log.',
} as const satisfies { [K in ErrorCode]?: string };

type FailureCode = keyof typeof FIXES;

const WHAT: { [K in FailureCode]: string } = {
  USAGE: 'there is no such file or folder',
  DISK_FULL: 'the disk is full',
  DISK_READ_ONLY: 'the disk takes no writes',
  RECORD_DAMAGED: 'the record is damaged',
  DATA_PERMISSION: 'the folder may not be used by this user',
  DATA_BUSY: 'another program holds the record',
  INTERNAL: 'the record could not be used',
};

/** The `code` of a thrown thing, or an empty text. */
export const codeOf = (error: unknown): string =>
  error instanceof Error && 'code' in error && typeof error.code === 'string' ? error.code : '';

/** True for the family after which a connection can no longer be believed: close, open again, check. */
export const isIoError = (error: unknown): boolean => codeOf(error).startsWith('SQLITE_IOERR');

/** What a path cannot be: of names that somebody told. */
const NO_SUCH_PLACE = ['ENOENT', 'ENOTDIR', 'EISDIR', 'ELOOP', 'ENAMETOOLONG'];

function failureCode(error: unknown): FailureCode {
  if (error instanceof CodecError) return 'RECORD_DAMAGED';
  const code = codeOf(error);
  if (code === 'SQLITE_FULL' || code === 'ENOSPC' || code === 'EDQUOT') return 'DISK_FULL';
  if (code.startsWith('SQLITE_READONLY') || code === 'EROFS' || isIoError(error)) return 'DISK_READ_ONLY';
  if (code.startsWith('SQLITE_CORRUPT') || code === 'SQLITE_NOTADB') return 'RECORD_DAMAGED';
  if (code.startsWith('SQLITE_CANTOPEN') || ['SQLITE_PERM', 'SQLITE_AUTH', 'EACCES', 'EPERM'].includes(code)) {
    return 'DATA_PERMISSION';
  }
  if (NO_SUCH_PLACE.includes(code)) return 'USAGE';
  if (code.startsWith('SQLITE_BUSY') || code.startsWith('SQLITE_LOCKED')) return 'DATA_BUSY';
  return 'INTERNAL';
}

/** `where` is the folder or file in question. A WattkeepError passes unchanged. */
export function asRecordError(error: unknown, where: string): WattkeepError {
  if (error instanceof WattkeepError && ERROR_CODES.includes(error.code)) return error;
  const code = failureCode(error);
  const said = error instanceof Error ? error.message : String(error);
  const name = codeOf(error) || 'no code';
  const detail = said.startsWith(`${name}: `) ? said : `${name}: ${said}`;
  return new WattkeepError(code, `${where}: ${WHAT[code]} (${detail})`, FIXES[code], { cause: error });
}

/** What keeps a record from being saved into; null for anything else. */
export const troubleOf = ({ code }: WattkeepError): SavedState['trouble'] =>
  code === 'DISK_FULL' || code === 'DISK_READ_ONLY' || code === 'RECORD_DAMAGED' ? code : null;

export const recordError = (code: FailureCode, message: string, options?: ErrorOptions): WattkeepError =>
  new WattkeepError(code, message, FIXES[code], options);
