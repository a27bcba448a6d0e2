/** Layouts by their number in the record. Parsed once per text, since every block names one. */
import { type Layout, parseLayout } from './codec/layout.ts';
import { CodecError } from './codec/varint.ts';
import type { Connection } from './connection.ts';

export interface LayoutShelf {
  /** Throws CodecError where the record names a layout it does not hold. */
  byId(id: number): Layout;
  /** The number of a layout, added where it is new. */
  idOf(layout: Layout): number;
}

/** A station's layout and its number. */
export interface Numbered {
  layout: Layout;
  id: number;
}

/** As it was, or grown, with the number of the grown one. */
export const grown = (shelf: LayoutShelf, known: Numbered, layout: Layout): Numbered =>
  layout === known.layout ? known : { layout, id: shelf.idOf(layout) };

export function openShelf(db: Connection): LayoutShelf {
  const textById = db.prepare<[number], string>('SELECT text FROM layout WHERE id = ?').pluck();
  const idByText = db.prepare<[string], number>('SELECT id FROM layout WHERE text = ?').pluck();
  const insert = db.prepare<[string]>('INSERT INTO layout (text) VALUES (?)');
  // By text, not by number: a rolled-back transaction gives its number to another layout later.
  const parsed = new Map<string, Layout>();
  return {
    byId: id => {
      const text = textById.get(id);
      if (text === undefined) throw new CodecError(`the record names layout ${id} but does not hold it`);
      const known = parsed.get(text);
      if (known !== undefined) return known;
      const layout = parseLayout(text);
      parsed.set(text, layout);
      return layout;
    },
    idOf: layout => idByText.get(layout.text) ?? Number(insert.run(layout.text).lastInsertRowid),
  };
}
