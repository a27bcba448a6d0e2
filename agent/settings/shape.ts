/**
 * What the settings schema knows of itself: names at a place, what is allowed there, which values are defaults. One
 * schema then serves the check, the words of its errors and the writing of the file.
 */
import { Settings } from '#messages';

/** The parts of a valibot schema that are looked at. */
export interface Shape {
  readonly type: string;
  readonly entries?: Readonly<Record<string, Shape>>;
  readonly wrapped?: Shape;
  readonly default?: unknown;
  readonly item?: Shape;
  readonly options?: readonly unknown[];
  readonly key?: string;
  readonly literal?: unknown;
  readonly pipe?: readonly { readonly type: string; readonly requirement?: unknown; readonly message?: unknown }[];
}

export const SETTINGS_SHAPE = Settings as unknown as Shape;

export const isTable = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value) && !(value instanceof Date);

/** Without its `optional`, and for a choice of tables the one that `value` names. */
export function plainShape(shape: Shape, value: unknown): Shape {
  const inner = shape.wrapped ?? shape;
  if (inner.type !== 'variant' || inner.key === undefined) return inner;
  const { key } = inner;
  const named = isTable(value) ? value[key] : undefined;
  return (inner.options as readonly Shape[]).find(option => option.entries?.[key]?.literal === named) ?? inner;
}

/** The shape below `key`, or undefined where nothing is known there. */
export function shapeBelow(shape: Shape, key: string | number): Shape | undefined {
  if (typeof key === 'number') return shape.item;
  // A choice that names none of its tables still knows what it could have named.
  if (shape.type === 'variant' && key === shape.key) return { type: 'picklist', options: kindsOf(shape) };
  return shape.entries !== undefined && Object.hasOwn(shape.entries, key) ? shape.entries[key] : undefined;
}

/** The shape at a path through `value`; undefined where the path leaves what is known. */
export function shapeAt(path: readonly (string | number)[], value: unknown): Shape | undefined {
  let shape: Shape | undefined = plainShape(SETTINGS_SHAPE, value);
  let here: unknown = value;
  for (const key of path) {
    const below = shapeBelow(shape, key);
    if (below === undefined) return undefined;
    here = (here as Record<string | number, unknown> | undefined)?.[key];
    shape = plainShape(below, here);
  }
  return shape;
}

/** Names that may stand in a table of this shape. */
export const namesIn = (shape: Shape | undefined): string[] => Object.keys(shape?.entries ?? {});

/** What may stand here, in words; undefined where the schema says no more than its own message. */
export function allowedHere(shape: Shape | undefined): string | undefined {
  if (shape === undefined) return undefined;
  const rule = (type: string) => shape.pipe?.find(action => action.type === type)?.requirement;
  switch (shape.type) {
    case 'picklist':
      return `one of ${listed(shape.options ?? [])}`;
    case 'variant':
      return `one of ${listed(kindsOf(shape))} as its ${shape.key}`;
    case 'boolean':
      return 'true or false';
    case 'number': {
      const kind = shape.pipe?.some(action => action.type === 'integer') ? 'a whole number' : 'a number';
      return `${kind} from ${rule('min_value')} to ${rule('max_value')}`;
    }
    case 'string': {
      if (rule('max_length') !== undefined) return `text of 1 to ${rule('max_length')} characters`;
      const form = shape.pipe?.find(action => action.type === 'regex')?.message;
      return typeof form === 'string' ? form : undefined;
    }
    case 'array':
      return 'a list';
    case 'strict_object':
      return `a table with ${namesIn(shape).join(', ')}`;
    default:
      return undefined;
  }
}

const listed = (options: readonly unknown[]): string => options.map(option => JSON.stringify(option)).join(', ');

function kindsOf(shape: Shape): unknown[] {
  const { key = '' } = shape;
  return ((shape.options ?? []) as readonly Shape[]).map(option => option.entries?.[key]?.literal);
}
