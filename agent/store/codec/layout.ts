/**
 * Which channels a block holds, in order, and the step each is stored at. A station's layout only grows at its end, so
 * channel i of an older layout is channel i of every newer one.
 */
import { isQuantityKey, type QuantityKey, quantityRow } from '#kit/quantities';
import { CodecError } from './varint.ts';

export interface Channel {
  readonly key: QuantityKey;
  /** Stored whole numbers to one unit of the quantity: 10 for a step of 0.1. Dividing gives the nearest double. */
  readonly perUnit: number;
}

export interface Layout {
  readonly channels: readonly Channel[];
  /** Its canonical text: what the record keeps and the blocks are fingerprinted with. */
  readonly text: string;
}

export const EMPTY_LAYOUT: Layout = { channels: [], text: '[]' };

const textOf = (channels: readonly Channel[]): string => JSON.stringify(channels.map(c => [c.key, c.perUnit]));

/** The same layout where it already holds every key, else one with the new keys at its end. Throws RangeError. */
export function extendLayout(layout: Layout, keys: Iterable<string>): Layout {
  const known = new Set<string>(layout.channels.map(c => c.key));
  const added: Channel[] = [];
  for (const key of keys) {
    if (known.has(key)) continue;
    const row = quantityRow(key);
    if (row === undefined || !isQuantityKey(key)) throw new RangeError(`${key} is not a quantity that can be stored`);
    known.add(key);
    added.push({ key, perUnit: Math.round(1 / row.step) });
  }
  if (added.length === 0) return layout;
  added.sort((a, b) => (a.key < b.key ? -1 : 1));
  const channels = [...layout.channels, ...added];
  return { channels, text: textOf(channels) };
}

export function parseLayout(text: string): Layout {
  const rows: unknown = JSON.parse(text);
  if (!Array.isArray(rows)) throw new CodecError('a layout is not a list');
  const channels = rows.map((row: unknown): Channel => {
    const [key, perUnit] = Array.isArray(row) ? row : [];
    if (typeof key !== 'string' || !isQuantityKey(key) || typeof perUnit !== 'number' || !(perUnit > 0)) {
      throw new CodecError('a layout names a channel that this program does not know');
    }
    return { key, perUnit };
  });
  return { channels, text };
}
