/**
 * Settings as an owner would write them: what equals its default is left out, unless the file already says it. So the
 * file stays as short as it was, and a default that improves later reaches everyone who never chose.
 */
import type { Settings } from '#messages';
import { isTable, plainShape, SETTINGS_SHAPE, type Shape, shapeBelow } from './shape.ts';

/** @param written what the file holds now */
export function sparseSettings(settings: Settings, written: unknown): Record<string, unknown> {
  return sparse(SETTINGS_SHAPE, settings, written) as Record<string, unknown>;
}

function sparse(shape: Shape, value: unknown, written: unknown): unknown {
  const plain = plainShape(shape, value);
  if (Array.isArray(value) && plain.item !== undefined) {
    const item = plain.item;
    return value.map((element, i) => sparse(item, element, counterpart(element, i, written)));
  }
  if (!isTable(value) || plain.entries === undefined) return value;
  const before = isTable(written) ? written : {};
  const kept: Record<string, unknown> = {};
  for (const [key, inner] of Object.entries(value)) {
    const below = shapeBelow(plain, key);
    if (below === undefined || inner === undefined) continue;
    const short = sparse(below, inner, before[key]);
    if (Object.hasOwn(before, key) || !isDefault(below, short)) kept[key] = short;
  }
  return kept;
}

/** A station is the same station when it keeps its id, wherever it moved to; anything else goes by position. */
function counterpart(element: unknown, position: number, written: unknown): unknown {
  if (!Array.isArray(written)) return undefined;
  const id = isTable(element) ? element.id : undefined;
  return id === undefined ? written[position] : written.find(other => isTable(other) && other.id === id);
}

function isDefault(shape: Shape, short: unknown): boolean {
  if (shape.type !== 'optional' || shape.default === undefined) return false;
  if (Array.isArray(short)) return short.length === 0;
  if (isTable(short)) return Object.keys(short).length === 0;
  return short === shape.default;
}
