/**
 * Changes the text of the settings file and leaves everything else in it as the owner wrote it: comments, order,
 * spacing. Two habits of the TOML library are made good for here:
 * - a comment above a table's header counts there as the end of the table before, so a new key would come after it:
 *   for the time of the edit such comments ride on the header's own line;
 * - a list of tables cannot be added to a text that has none: a first station is written at the end.
 */

import { isDeepStrictEqual } from 'node:util';
import { patch, stringify } from '@decimalturn/toml-patch';
import { WattkeepError } from '#kit';
import type { Settings } from '#messages';
import { treeOf } from './lines.ts';
import { parseToml } from './read.ts';
import { sparseSettings } from './sparse.ts';

const FILE_HEAD = '# Settings of wattkeep. Also changed by the Setup view, which keeps what you write here.\n';
/** A private-use character: no owner's comment holds it. */
const RIDER = '\uE000';

/**
 * The text with these settings in it.
 *
 * @throws SettingsError SETTINGS_SYNTAX where `text` is not TOML
 * @throws WattkeepError INTERNAL where the edit would not read back as these settings; nothing is lost then
 */
export function editSettings(text: string, settings: Settings, file: string): string {
  const before = text === '' ? FILE_HEAD : text;
  const wanted = sparseSettings(settings, parseToml(before, file).toJsObject);
  const after = applyEdit(before, wanted, file);
  if (isDeepStrictEqual(plain(parseToml(after, file).toJsObject), plain(wanted))) return after;
  throw new WattkeepError('INTERNAL', `${file} cannot be changed without disturbing it.`, 'Change it in an editor.');
}

const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));

function applyEdit(text: string, wanted: Record<string, unknown>, file: string): string {
  const { station, ...rest } = wanted;
  const hadStations = Object.hasOwn(parseToml(text, file).toJsObject as object, 'station');
  const { lifted, comments } = liftComments(text, file);
  const edited = patch(lifted, hadStations ? wanted : rest);
  const settled = settleComments(edited, comments);
  if (hadStations || station === undefined) return settled;
  return `${settled.trimEnd()}\n\n${stringify({ station })}`.trimStart();
}

/** Puts the comment lines directly above each header behind the header, on its own line, as a numbered rider. */
function liftComments(text: string, file: string): { lifted: string; comments: string[] } {
  const lines = text.split('\n');
  const blocks = treeOf(parseToml(text, file));
  const commentLines = new Set(
    [...blocks, ...blocks.flatMap(block => block.items ?? [])]
      .filter(node => node.type === 'Comment' && isAlone(lines, node.loc.start))
      .map(node => node.loc.start.line - 1),
  );
  const headers = blocks.filter(b => b.type === 'Table' || b.type === 'TableArray').map(b => b.loc.start.line - 1);
  const comments: string[] = [];
  const gone = new Set<number>();
  for (const header of headers) {
    let first = header;
    while (commentLines.has(first - 1)) first -= 1;
    if (first === header) continue;
    const ending = lines[header]!.endsWith('\r') ? '\r' : '';
    const start = lines[header]!.slice(0, lines[header]!.length - ending.length);
    // A header that has a comment already carries the rider inside it.
    lines[header] = `${start}${hasComment(blocks, header) ? '' : ' #'}${RIDER}${comments.length}${ending}`;
    comments.push(lines.slice(first, header).join('\n'));
    for (let line = first; line < header; line++) gone.add(line);
  }
  return { lifted: lines.filter((_, i) => !gone.has(i)).join('\n'), comments };
}

/** The comment begins its line. */
const isAlone = (lines: readonly string[], at: { line: number; column: number }): boolean =>
  lines[at.line - 1]!.slice(0, at.column).trim() === '';

function hasComment(blocks: ReturnType<typeof treeOf>, header: number): boolean {
  return [...blocks, ...blocks.flatMap(block => block.items ?? [])].some(
    node => node.type === 'Comment' && node.loc.start.line - 1 === header,
  );
}

/** The reverse: each rider's comment goes back above its header. One whose header is gone went with it. */
function settleComments(text: string, comments: readonly string[]): string {
  return text
    .split('\n')
    .flatMap(line => {
      const rider = new RegExp(`( #)?${RIDER}(\\d+)(\r?)$`).exec(line);
      if (rider === null) return [line];
      return [comments[Number(rider[2])]!, `${line.slice(0, rider.index)}${rider[3]}`];
    })
    .join('\n');
}
