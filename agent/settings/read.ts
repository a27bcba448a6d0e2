/**
 * From the text of the settings file to checked settings. Every error names the file, the line, what stands there and
 * what may stand there; an unknown key is an error with the name it was probably meant to be.
 */
import { parseDocument, type TomlDocument } from '@decimalturn/toml-patch';
import * as v from 'valibot';
import { type ErrorCode, WattkeepError } from '#kit';
import { nearestName } from '#kit/nearest';
import { Settings } from '#messages';
import { type LineOf, linesOf, type SettingPath } from './lines.ts';
import { allowedHere, namesIn, shapeAt } from './shape.ts';

/** A settings file that cannot be used. */
export class SettingsError extends WattkeepError {
  /** Counted from 1; null where what is wrong is that something is not there. */
  readonly line: number | null;
  /** The setting, with dots: `station.0.ratedWh`. */
  readonly path: string;

  constructor(code: ErrorCode, message: string, fix: string, line: number | null, path: string) {
    super(code, message, fix);
    this.line = line;
    this.path = path;
  }
}

/** @throws SettingsError SETTINGS_SYNTAX with the line */
export function parseToml(text: string, file: string): TomlDocument {
  try {
    const document = parseDocument(text);
    // Duplicate keys show only when the values are built.
    void document.toJsObject;
    return document;
  } catch (cause) {
    const { line, message } = cause as Error & { line?: number };
    if (line === undefined) throw cause;
    const why = message.split('\n').at(-1) ?? 'not TOML';
    throw new SettingsError('SETTINGS_SYNTAX', `${file} line ${line}: ${why}.`, 'Correct that line.', line, '');
  }
}

/**
 * @param file its name, for the messages
 * @throws SettingsError SETTINGS_SYNTAX, SETTINGS_UNKNOWN_KEY or SETTINGS_VALUE
 */
export function readSettings(text: string, file: string): Settings {
  const document = parseToml(text, file);
  const raw: unknown = document.toJsObject;
  const result = v.safeParse(Settings, raw);
  if (result.success) return result.output;
  const issues = result.issues as readonly v.BaseIssue<unknown>[];
  // A mistyped name also leaves the right one missing: the typing error is the one to tell.
  const issue = issues.find(isUnknownKey) ?? issues[0]!;
  throw errorOf(issue, raw, file, linesOf(document));
}

const isUnknownKey = (issue: v.BaseIssue<unknown>): boolean =>
  issue.path?.at(-1)?.origin === 'key' && issue.expected === 'never';

function errorOf(issue: v.BaseIssue<unknown>, raw: unknown, file: string, lineOf: LineOf): SettingsError {
  const path = (issue.path ?? []).map(item => item.key as string | number);
  const line = lineOf(path);
  const where = line === null ? file : `${file} line ${line}`;
  const dotted = path.join('.');
  if (isUnknownKey(issue)) {
    const known = namesIn(shapeAt(path.slice(0, -1), raw));
    const written = String(path.at(-1));
    const near = nearestName(written, known);
    const meant = near === null ? '' : `Did you mean ${near}? `;
    const message = `${where}: ${wordsFor(path)} is not a setting.`;
    return new SettingsError('SETTINGS_UNKNOWN_KEY', message, `${meant}Known here: ${known.join(', ')}.`, line, dotted);
  }
  const shape = shapeAt(path, raw);
  const allowed = allowedHere(shape);
  // A check between two settings of a table has the table as its input, but names one of them in its path.
  const last = issue.path?.at(-1);
  const value = last === undefined ? issue.input : last.value;
  const found = value === undefined ? 'is missing' : `is ${shorten(value)}`;
  // A check of its own (a time zone, ids that differ, one value below another) says best itself what it wants.
  const own = issue.kind === 'validation' && (issue.type === 'check' || issue.type === 'partial_check');
  const says = own ? issue.message : (allowed ?? issue.message);
  const message = `${where}: ${wordsFor(path)} ${found}.`;
  return new SettingsError('SETTINGS_VALUE', message, `Allowed: ${says}.`, line, dotted);
}

/** `station 2, panel 1, ratedW` for ['station', 1, 'panel', 0, 'ratedW']. */
function wordsFor(path: SettingPath): string {
  return path.reduce<string>((words, part) => {
    if (typeof part === 'number') return `${words} ${part + 1}`;
    if (words === '') return part;
    return /\d$/.test(words) ? `${words}, ${part}` : `${words}.${part}`;
  }, '');
}

function shorten(value: unknown): string {
  const text = typeof value === 'bigint' ? String(value) : (JSON.stringify(value) ?? String(value));
  return text.length > 60 ? `${text.slice(0, 60)}…` : text;
}
