/**
 * The settings file on disk. It is the owner's: read as it is, changed without disturbing it, replaced in one step
 * (a crash leaves the old or the new one, never half), readable by its owner alone, and never overwritten when it is
 * no longer what was read.
 */
import { createHash } from 'node:crypto';
import {
  closeSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { WattkeepError } from '#kit';
import type { Settings } from '#messages';
import { editSettings } from './edit.ts';
import { readSettings } from './read.ts';

export interface LoadedSettings {
  readonly settings: Settings;
  readonly text: string;
  /** Changes with every byte of the file; `none` where there is no file. */
  readonly revision: string;
}

/**
 * A missing file gives the defaults.
 *
 * @throws SettingsError SETTINGS_SYNTAX, SETTINGS_UNKNOWN_KEY or SETTINGS_VALUE, with the line
 * @throws WattkeepError DATA_PERMISSION where it may not be read
 */
export function loadSettings(path: string): LoadedSettings {
  const text = readText(path);
  return { settings: readSettings(text ?? '', basename(path)), text: text ?? '', revision: revisionOf(text) };
}

/**
 * Writes the settings into the file.
 *
 * @param revision as it was loaded; undefined: whatever is there now
 * @throws WattkeepError SETTINGS_CHANGED where the file is no longer at `revision`; DISK_FULL, DISK_READ_ONLY or
 *   DATA_PERMISSION where it cannot be written. The file is as it was then.
 */
export function saveSettings(path: string, settings: Settings, revision?: string): LoadedSettings {
  const before = readText(path);
  if (revision !== undefined && revision !== revisionOf(before)) {
    const fix = 'Load the settings again, then make the change again.';
    throw new WattkeepError('SETTINGS_CHANGED', `${basename(path)} was changed since it was read.`, fix);
  }
  const text = editSettings(before ?? '', settings, basename(path));
  if (text !== before) replaceFile(path, text);
  return { settings: readSettings(text, basename(path)), text, revision: revisionOf(text) };
}

const revisionOf = (text: string | null): string =>
  text === null ? 'none' : createHash('sha256').update(text).digest('hex').slice(0, 32);

/** null where there is no file. */
function readText(path: string): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(readFileSync(path));
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'ENOENT') return null;
    if (cause instanceof TypeError) {
      const message = `${basename(path)} is not text in UTF-8.`;
      throw new WattkeepError('SETTINGS_SYNTAX', message, 'Save it as UTF-8.', { cause });
    }
    throw diskError(path, 'read', cause);
  }
}

function replaceFile(path: string, text: string): void {
  let temporary: string | null = null;
  try {
    mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
    // An owner may keep the file elsewhere and link to it: the link stays.
    const real = readText(path) === null ? path : realpathSync(path);
    temporary = join(dirname(real), `.${basename(real)}.${process.pid}.new`);
    writeDurably(temporary, text);
    renameSync(temporary, real);
    syncFolder(dirname(real));
  } catch (cause) {
    if (temporary !== null) rmSync(temporary, { force: true });
    if (cause instanceof WattkeepError) throw cause;
    throw diskError(path, 'written', cause);
  }
}

function writeDurably(path: string, text: string): void {
  const fd = openSync(path, 'w', 0o600);
  try {
    const bytes = Buffer.from(text);
    for (let at = 0; at < bytes.length; ) at += writeSync(fd, bytes, at);
    fsyncSync(fd);
  } finally {
    closeSync(fd);
  }
}

/** The rename itself reaches the disk with the folder. Windows cannot open a folder and does not need it. */
function syncFolder(dir: string): void {
  if (process.platform === 'win32') return;
  const fd = openSync(dir, 'r');
  try {
    fsyncSync(fd);
  } finally {
    closeSync(fd);
  }
}

function diskError(path: string, done: 'read' | 'written', cause: unknown): WattkeepError {
  const { code } = cause as NodeJS.ErrnoException;
  const message = `${path} cannot be ${done}.`;
  if (code === 'ENOSPC' || code === 'EDQUOT') {
    return new WattkeepError('DISK_FULL', message, 'Make room on that disk.', { cause });
  }
  if (code === 'EROFS') {
    return new WattkeepError('DISK_READ_ONLY', message, 'Name another file with --settings.', { cause });
  }
  const fix = 'Give your account the right to it, or name another file with --settings.';
  return new WattkeepError('DATA_PERMISSION', message, fix, { cause });
}
