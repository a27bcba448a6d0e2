/** What the settings schema allows at a path, so that the words beside a field never differ from what is checked. */
import { Settings } from '#messages';

interface Shape {
  readonly entries?: Readonly<Record<string, Shape>>;
  readonly wrapped?: Shape;
  readonly item?: Shape;
  readonly options?: readonly Shape[];
  readonly pipe?: readonly Action[];
}

/** A check; or a schema that has checks of its own, where more were put behind it. */
interface Action {
  readonly type: string;
  readonly requirement?: unknown;
  readonly pipe?: readonly Action[];
}

export interface Range {
  readonly low: number;
  readonly high: number;
}

/** @returns null where what stands there is not a bounded number */
export function rangeAt(path: string): Range | null {
  let shapes: Shape[] = [Settings as unknown as Shape];
  for (const key of path.split('.')) {
    shapes = shapes.map(inner).flatMap(shape => {
      // A choice of tables (the connection) offers the fields of them all.
      const tables = shape.options ?? [shape];
      return tables.flatMap(table => (/^\d+$/.test(key) ? table.item : table.entries?.[key]) ?? []);
    });
  }
  const checks = allOf(shapes.map(inner).find(shape => shape.pipe !== undefined)?.pipe ?? []);
  const rule = (type: string) => checks.find(action => action.type === type)?.requirement;
  const [low, high] = [rule('min_value'), rule('max_value')];
  return typeof low === 'number' && typeof high === 'number' ? { low, high } : null;
}

const inner = (shape: Shape): Shape => (shape.wrapped === undefined ? shape : inner(shape.wrapped));

const allOf = (actions: readonly Action[]): readonly Action[] =>
  actions.flatMap(action => (action.pipe === undefined ? [action] : allOf(action.pipe)));
