/**
 * The columns of a recording: `time`, quantities by name, and the words that a reading carries beside its numbers.
 * Each word column knows how it is written and read, and when it is worth a column at all.
 */
import type { InputLimit, InputSource, Quality, Reading, States, Tri } from '#kit';
import { fromTextCell, textCell } from './cells.ts';

export const TIME = 'time';
export const REQUIRED = ['inputPowerW', 'outputPowerW', 'stateOfChargePct'] as const;

type Words = Pick<Reading, 'states' | 'quality' | 'clock' | 'typed'>;

export interface WordColumn {
  readonly name: string;
  /** The cell; empty where the reading says nothing out of the ordinary. */
  write(reading: Words): string;
  /** Puts a cell that is not empty into the reading; false where it cannot be. */
  read(cell: string, into: Words): boolean;
  /** What may stand in the cell, for the message. */
  readonly allowed: string;
}

const oneOf =
  <T extends string>(...words: readonly T[]) =>
  (cell: string): T | undefined =>
    words.find(word => word === cell);

const TRI: { [text: string]: Tri } = { true: true, false: false, unknown: 'unknown' };

const triColumn = (name: 'acOutletsOn' | 'dcOutletsOn' | 'onMains'): WordColumn => ({
  name,
  allowed: 'true, false or unknown',
  write: ({ states }) => (states[name] === undefined ? '' : String(states[name])),
  read: (cell, { states }) => {
    const value = TRI[cell];
    if (value === undefined) return false;
    states[name] = value;
    return true;
  },
});

const LIMITS: readonly InputLimit[] = ['nothing', 'full', 'port', 'cold', 'owner', 'unknown'];
const SOURCES: readonly InputSource[] = ['sun', 'wall', 'vehicle', 'generator', 'unknown'];

const stateColumn = <K extends 'inputLimitedBy' | 'inputSource'>(
  name: K,
  words: readonly NonNullable<States[K]>[],
): WordColumn => ({
  name,
  allowed: words.join(', '),
  write: ({ states }) => states[name] ?? '',
  read: (cell, { states }) => {
    const word = oneOf<NonNullable<States[K]>>(...words)(cell);
    if (word === undefined) return false;
    states[name] = word;
    return true;
  },
});

const FAULT_MAX = 80;

export const WORD_COLUMNS: readonly WordColumn[] = [
  stateColumn('inputSource', SOURCES),
  stateColumn('inputLimitedBy', LIMITS),
  triColumn('acOutletsOn'),
  triColumn('dcOutletsOn'),
  triColumn('onMains'),
  {
    name: 'fault',
    allowed: `at most ${FAULT_MAX} characters`,
    write: ({ states }) => textCell(states.fault ?? ''),
    read: (cell, { states }) => {
      const fault = fromTextCell(cell);
      if (fault.length > FAULT_MAX) return false;
      states.fault = fault;
      return true;
    },
  },
  {
    name: 'quality',
    allowed: 'uncertain or bad; empty means good',
    write: ({ quality }) => (quality === 'good' ? '' : quality),
    read: (cell, into) => {
      const quality = oneOf<Quality>('good', 'uncertain', 'bad')(cell);
      if (quality !== undefined) into.quality = quality;
      return quality !== undefined;
    },
  },
  {
    name: 'clock',
    allowed: 'stepped or unknown; empty means synced',
    write: ({ clock }) => (clock === 'synced' ? '' : clock),
    read: (cell, into) => {
      const clock = oneOf('synced', 'stepped', 'unknown')(cell);
      if (clock !== undefined) into.clock = clock;
      return clock !== undefined;
    },
  },
  {
    name: 'typed',
    allowed: 'true; empty means measured',
    write: ({ typed }) => (typed === true ? 'true' : ''),
    read: (cell, into) => {
      if (cell !== 'true') return false;
      into.typed = true;
      return true;
    },
  },
];

export const wordColumn = (name: string): WordColumn | undefined => WORD_COLUMNS.find(column => column.name === name);
