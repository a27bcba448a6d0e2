/** Which line of the file each setting stands on, from the positions the TOML parser keeps. */
import type { TomlDocument } from '@decimalturn/toml-patch';

export type SettingPath = readonly (string | number)[];

/** The parts of the parser's tree that are looked at. Lines count from 1. */
interface Node {
  readonly type: string;
  readonly loc: { readonly start: { readonly line: number; readonly column: number } };
  readonly key?: Node;
  readonly item?: Node;
  readonly items?: readonly Node[];
  /** Of a key: its dotted parts. Of a key-value: the value's node. */
  readonly value?: unknown;
}

export const treeOf = (document: TomlDocument): readonly Node[] => [...document.cst] as unknown as readonly Node[];

const nameOf = (path: SettingPath): string => JSON.stringify(path);

/** Line of a setting or of the nearest table around it; null where the file does not mention any of it. */
export type LineOf = (path: SettingPath) => number | null;

export function linesOf(document: TomlDocument): LineOf {
  const lines = new Map<string, number>();
  const note = (path: SettingPath, node: Node) => {
    const name = nameOf(path);
    if (!lines.has(name)) lines.set(name, node.loc.start.line);
  };
  const counts = new Map<string, number>();
  for (const block of treeOf(document)) {
    if (block.type === 'KeyValue') walkPair(block, [], note);
    else if (block.type === 'Table' || block.type === 'TableArray') {
      const path = headerPath(block, counts);
      if (block.type === 'TableArray') note(path.slice(0, -1), block);
      note(path, block);
      for (const item of block.items ?? []) if (item.type === 'KeyValue') walkPair(item, path, note);
    }
  }
  return path => {
    for (let length = path.length; length > 0; length--) {
      const line = lines.get(nameOf(path.slice(0, length)));
      if (line !== undefined) return line;
    }
    return null;
  };
}

/** `[[station]]` begins a new element; `[station.place]` belongs to the last one begun. */
function headerPath(block: Node, counts: Map<string, number>): SettingPath {
  const parts = block.key?.item?.value as readonly string[];
  const path: (string | number)[] = [];
  parts.forEach((part, i) => {
    path.push(part);
    const name = nameOf(path);
    if (block.type === 'TableArray' && i === parts.length - 1) counts.set(name, (counts.get(name) ?? 0) + 1);
    const count = counts.get(name);
    if (count !== undefined) path.push(count - 1);
  });
  return path;
}

function walkPair(pair: Node, above: SettingPath, note: (path: SettingPath, node: Node) => void): void {
  const parts = pair.key?.value as readonly string[];
  parts.forEach((_part, i) => {
    note([...above, ...parts.slice(0, i + 1)], pair);
  });
  walkValue(pair.value as Node, [...above, ...parts], note);
}

function walkValue(value: Node, path: SettingPath, note: (path: SettingPath, node: Node) => void): void {
  if (value.type === 'InlineTable') {
    for (const { item } of value.items ?? []) if (item?.type === 'KeyValue') walkPair(item, path, note);
  } else if (value.type === 'InlineArray') {
    (value.items ?? []).forEach((element, i) => {
      if (element.item === undefined) return;
      note([...path, i], element.item);
      walkValue(element.item, [...path, i], note);
    });
  }
}
