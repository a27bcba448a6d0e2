/**
 * One line of the log: ISO time, level, area, message, then key=value. Whatever comes from outside (a device, a
 * request) is written so that it can neither break a line nor colour a terminal, and secrets are left out.
 */
export type Level = 'error' | 'warn' | 'info' | 'debug';
export type Fields = Readonly<Record<string, unknown>>;

/** A line longer than this is cut: a stack trace fits, a flood does not. */
const MAX_LINE_CHARS = 8_192;
const SECRET_NAME = /^(authorization|proxy-authorization|cookie|set-cookie|token|secret|password)$/i;
/** A header's name and the rest of its line. */
const SECRET_HEADER = /\b((?:proxy-)?authorization|(?:set-)?cookie)(\s*[:=]\s*)[^\r\n]*/gi;
/** A query string: a question mark after something that is part of a path, up to the next space or quote. */
const QUERY = /(?<=[\w/%.~-])\?[^\s"'<>?=]*=[^\s"'<>]*/g;
const LEFT_OUT = '[left out]';

/** @param at UTC epoch ms */
export function formatLine(at: number, level: Level, area: string, message: string, fields: Fields = {}): string {
  const parts = [new Date(at).toISOString(), level, area, safe(message)];
  for (const [name, value] of Object.entries(fields)) {
    parts.push(`${name}=${SECRET_NAME.test(name) ? LEFT_OUT : formatValue(value)}`);
  }
  const line = parts.join(' ');
  return line.length > MAX_LINE_CHARS ? `${line.slice(0, MAX_LINE_CHARS)}…` : line;
}

/** Query strings and the values of headers that carry secrets, left out. */
export function redact(text: string): string {
  return text.replace(SECRET_HEADER, `$1$2${LEFT_OUT}`).replace(QUERY, `?${LEFT_OUT}`);
}

/** Control characters, line separators and direction marks as escapes: a line stays a line and reads as it is. */
export function escapeText(text: string): string {
  return text.replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Cs}]/gu, c => {
    if (c === '\n') return '\\n';
    if (c === '\r') return '\\r';
    if (c === '\t') return '\\t';
    return `\\u{${c.codePointAt(0)!.toString(16)}}`;
  });
}

/** Cut first: nothing endless is searched. */
const safe = (text: string): string => escapeText(redact(text.slice(0, MAX_LINE_CHARS)));

function formatValue(value: unknown): string {
  const text = value instanceof Error ? (value.stack ?? value.message) : textOf(value);
  const written = safe(text);
  return /^[^\s"=]+$/.test(written) ? written : `"${written.replaceAll('"', '\\"')}"`;
}

function textOf(value: unknown): string {
  if (typeof value === 'string') return value;
  if (typeof value !== 'object' || value === null) return String(value);
  return JSON.stringify(value, (name, inner: unknown) => (SECRET_NAME.test(name) ? LEFT_OUT : inner));
}
