/** The arrow table of DEVELOPERS.md and the imports of the tree, for the house tests. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = dirname(dirname(dirname(fileURLToPath(import.meta.url))));

export interface Room {
  path: string;
  rooms: string[];
  packages: string[];
  node: boolean;
}

const cells = (row: string) =>
  row
    .split('|')
    .slice(1, -1)
    .map(cell => cell.trim());
const list = (cell: string) => (cell === '–' ? [] : cell.split(',').map(item => item.trim()));

/** The rows of the table under the heading "Arrows". */
export function arrowTable(): Room[] {
  const text = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
  const section = text.slice(text.indexOf('## Arrows'));
  const table = section.slice(section.indexOf('|'), section.search(/\n\n`agent`/));
  return table
    .split('\n')
    .filter(line => line.startsWith('|'))
    .slice(2)
    .map(line => {
      const [path, rooms, packages, node] = cells(line) as [string, string, string, string];
      return { path, rooms: list(rooms), packages: list(packages), node: node === 'yes' };
    });
}

/** Every source file of the rooms, tests left out. */
export function sourceFiles(): string[] {
  return ['agent', 'protocol-adapters', 'simulators', 'web'].flatMap(top =>
    readdirSync(join(ROOT, top), { recursive: true, withFileTypes: true })
      .filter(entry => entry.isFile() && /\.ts$/.test(entry.name))
      .map(entry => relative(ROOT, join(entry.parentPath, entry.name))),
  );
}

/** The room a file belongs to: the longest path of the table that holds it. */
export function roomOf(file: string, rooms: readonly Room[]): Room | undefined {
  return rooms.filter(room => file.startsWith(`${room.path}/`)).sort((a, b) => b.path.length - a.path.length)[0];
}

/** Import specifiers of a file, static, dynamic and re-exported; comments and strings elsewhere do not count. */
export function importsOf(file: string): string[] {
  const text = readFileSync(join(ROOT, file), 'utf8').replace(/\/\*[\s\S]*?\*\//g, '');
  const found = new Set<string>();
  for (const pattern of [
    /^\s*(?:import|export)\b[^'";]*?\bfrom\s*['"]([^'"]+)['"]/gm,
    /^\s*import\s*['"]([^'"]+)['"]/gm,
    /\bimport\(\s*['"]([^'"]+)['"]\s*\)/g,
  ])
    for (const match of text.matchAll(pattern)) found.add(match[1]!);
  return [...found];
}

/** The file a door or a relative specifier leads to, relative to the root; undefined for a package. */
export function target(file: string, specifier: string): string | undefined {
  if (specifier.startsWith('.')) return relative(ROOT, join(ROOT, dirname(file), specifier));
  if (specifier === '#kit') return 'protocol-adapters/kit/index.ts';
  if (specifier.startsWith('#kit/')) return `protocol-adapters/kit/${specifier.slice(5)}.ts`;
  if (specifier.startsWith('#energy/')) return `agent/energy/${specifier.slice(8)}.ts`;
  if (specifier === '#messages') return 'agent/messages/index.ts';
  return undefined;
}
