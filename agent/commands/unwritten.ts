/** Why a file or standard output could not be written, in the closed list of codes with what to do. */
import { WattkeepError } from '#kit';
import { asRecordError } from '../store/failure.ts';

/** @param where what was to be written. A WattkeepError passes unchanged */
export function unwritten(cause: unknown, where: string): WattkeepError {
  if (cause instanceof WattkeepError) return cause;
  const { code, message } = asRecordError(cause, where);
  const fix =
    code === 'DISK_FULL' ? 'Free some space on that disk, then run it again.' : 'Name a file that can be made.';
  return new WattkeepError(code === 'INTERNAL' ? 'USAGE' : code, message, fix, { cause });
}
