/**
 * Settings while they are edited: a plain copy in which a field may hold what is not valid yet. Pure; the schema judges
 * the whole when it is saved and names the path of each complaint.
 */

import * as v from 'valibot';
import { Settings } from '#messages';
import { celsiusOf, shownTemperature, type TemperatureUnit } from '../../temperature.ts';
import { numberTyped } from '../../typed-text.ts';
import * as words from '../../words/setup.ts';
import type { Field } from './fields.ts';

type Tree = { [key: string]: unknown };

const keysOf = (path: string): string[] => path.split('.');

export function valueAt(draft: unknown, path: string): unknown {
  return keysOf(path).reduce<unknown>((node, key) => (node as Tree | undefined)?.[key], draft);
}

/** A copy with the value at `path`; undefined takes the key away, and an object that is left empty with it. */
export function withValue<T>(draft: T, path: string, value: unknown): T {
  const copy = structuredClone(draft);
  const keys = keysOf(path);
  const trail: Tree[] = [copy as Tree];
  for (const key of keys.slice(0, -1)) {
    const node = trail.at(-1)!;
    node[key] ??= {};
    trail.push(node[key] as Tree);
  }
  if (value !== undefined) {
    trail.at(-1)![keys.at(-1)!] = value;
    return copy;
  }
  delete trail.at(-1)![keys.at(-1)!];
  // A place without either coordinate is no place.
  for (let i = trail.length - 1; i > 0 && !Array.isArray(trail[i]) && Object.keys(trail[i]!).length === 0; i--) {
    if (!Array.isArray(trail[i - 1])) delete trail[i - 1]![keys[i - 1]!];
  }
  return copy;
}

/**
 * What a field's text means: a number where it is one, the text itself where it is not (the schema will say so).
 *
 * @param unit in which temperatures are typed
 */
export function meaningOf(field: Field, text: string, unit: TemperatureUnit = 'C'): unknown {
  const trimmed = text.trim();
  if (trimmed === '' && field.optional === true) return undefined;
  if (field.kind === 'lines' || field.kind === 'gives' || field.kind === 'days')
    return text
      .split('\n')
      .map(line => line.trim())
      .filter(line => line !== '');
  if (field.kind !== 'number') return field.capitals === true ? trimmed.toUpperCase() : trimmed;
  const number = numberTyped(trimmed);
  if (number === null) return trimmed;
  return field.temperature === true ? celsiusOf(number, unit) : number;
}

/** A field's value as its text. */
export function textOf(field: Field, value: unknown, unit: TemperatureUnit = 'C'): string {
  if (value === undefined || value === null) return '';
  if (field.temperature === true && typeof value === 'number') return String(shownTemperature(value, unit));
  return field.kind === 'lines' && Array.isArray(value) ? value.join('\n') : String(value);
}

/** Fresh transport of a kind: what one kind needs another must not carry. */
export function freshTransport(kind: string): Tree {
  if (kind === 'serial') return { kind, path: '', baud: 115_200 };
  if (kind === 'tcp') return { kind, host: '' };
  if (kind === 'parts') return { kind, part: [freshPart(), freshPart()] };
  return kind === 'process' ? { kind, command: [] } : { kind };
}

/** A part as it is added: its name, link and purpose are still to be told. */
export const freshPart = (): Tree => ({ name: '', adapter: 'lines', transport: freshTransport('serial'), gives: [] });

/** The list of hours with a price of their own. */
export const HOURS = 'tariff.hours';

/** What an added entry of a list begins with. */
export function freshEntry(list: string): Tree {
  if (list.endsWith('.panel')) return { count: 1 };
  if (list === HOURS) return { days: Object.keys(words.WEEKDAYS) };
  return list.endsWith('.part') ? freshPart() : {};
}

/** An id from a name, unlike the ids in use: letters, digits, dashes. */
export function idFor(name: string, used: readonly string[]): string {
  const base =
    name
      .normalize('NFKD')
      .toLowerCase()
      .replace(/[^a-z0-9]+/g, '-')
      .replace(/^-+|-+$/g, '')
      .slice(0, 36) || 'station';
  if (!used.includes(base)) return base;
  return `${base}-${[...Array(used.length + 1).keys()].map(i => i + 2).find(n => !used.includes(`${base}-${n}`))}`;
}

export const freshStation = (used: readonly string[]): Tree => ({
  id: idFor(words.NEW_STATION, used),
  name: words.NEW_STATION,
  adapter: 'lines',
  transport: freshTransport('serial'),
});

/** A station that was never saved takes its id from the name it was given. */
export function withFreshIds(draft: Settings, saved: Settings): Settings {
  const known = new Set(saved.station.map(s => s.id));
  const used: string[] = [...known];
  const station = draft.station.map(s => {
    if (known.has(s.id)) return s;
    const id = idFor(String(s.name), used);
    used.push(id);
    return { ...s, id };
  });
  return { ...draft, station };
}

/** In which unit the draft says temperatures are shown. */
export const unitOf = (draft: unknown): TemperatureUnit => (valueAt(draft, 'display.temperature') === 'F' ? 'F' : 'C');

export type Checked = { ok: true; settings: Settings } | { ok: false; wrong: Map<string, string> };

/** Judges a draft; complaints by the dotted path of the value. */
export function check(draft: unknown): Checked {
  const result = v.safeParse(Settings, draft);
  if (result.success) return { ok: true, settings: result.output };
  const wrong = new Map<string, string>();
  for (const issue of result.issues) {
    const path = v.getDotPath(issue) ?? '';
    const { requirement } = issue as { requirement?: unknown };
    const limit =
      /\.(coldest|hottest)C$/.test(path) && typeof requirement === 'number'
        ? shownTemperature(requirement, unitOf(draft))
        : requirement;
    if (!wrong.has(path)) wrong.set(path, words.wrongValue(issue.type, limit, issue.message));
  }
  return { ok: false, wrong };
}
