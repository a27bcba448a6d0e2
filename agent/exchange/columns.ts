/**
 * The columns of a recording: `time`, quantities by name, and the words that a reading carries beside its numbers.
 * Each word column knows how it is written and read, and when it is worth a column at all.
 */
import {
  type InputLimit,
  type InputSource,
  type Quality,
  type QuantityKey,
  quantityRow,
  type States,
  type Tri,
} from '#kit';
import type { KeptReading, Told } from '#messages';

export const TIME = 'time';
/** Counts from 1; another number begins what is never joined with the rows before. */
export const SESSION = 'session';
/** Milliseconds that went by since the row above, of the same session, where their times say otherwise. */
export const RAN = 'ranMs';
export const REQUIRED = ['inputPowerW', 'outputPowerW', 'stateOfChargePct'] as const;

/** With its values where the reading itself is at hand. */
type Words = Told['words'][number] & Partial<Pick<KeptReading, 'quantities'>>;

export interface WordColumn {
  readonly name: string;
  /** The word, or a whole number; empty where the reading says nothing out of the ordinary. */
  tell(reading: Words): string;
  /** Puts a word that is not empty into the reading; false where it cannot be. */
  read(word: string, into: Words): boolean;
  /** What may stand in the cell, for the message. */
  readonly allowed: string;
  /** True where it is a whole number. */
  readonly counts?: true;
}

const oneOf =
  <T extends string>(...words: readonly T[]) =>
  (cell: string): T | undefined =>
    words.find(word => word === cell);

const TRI: { [text: string]: Tri } = { true: true, false: false, unknown: 'unknown' };

const triColumn = (name: 'acOutletsOn' | 'dcOutletsOn' | 'onMains'): WordColumn => ({
  name,
  allowed: 'true, false or unknown',
  tell: ({ states }) => (states[name] === undefined ? '' : String(states[name])),
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
  tell: ({ states }) => states[name] ?? '',
  read: (cell, { states }) => {
    const word = oneOf<NonNullable<States[K]>>(...words)(cell);
    if (word === undefined) return false;
    states[name] = word;
    return true;
  },
});

const FAULT_MAX = 80;
const MEAN_MAX_MS = 3_600_000;

export const WORD_COLUMNS: readonly WordColumn[] = [
  stateColumn('inputSource', SOURCES),
  stateColumn('inputLimitedBy', LIMITS),
  triColumn('acOutletsOn'),
  triColumn('dcOutletsOn'),
  triColumn('onMains'),
  {
    name: 'fault',
    allowed: `at most ${FAULT_MAX} characters`,
    tell: ({ states }) => states.fault ?? '',
    read: (fault, { states }) => {
      if (fault.length > FAULT_MAX) return false;
      states.fault = fault;
      return true;
    },
  },
  {
    name: 'quality',
    allowed: 'uncertain or bad; empty means good',
    tell: ({ quality }) => (quality === 'good' ? '' : quality),
    read: (cell, into) => {
      const quality = oneOf<Quality>('good', 'uncertain', 'bad')(cell);
      if (quality !== undefined) into.quality = quality;
      return quality !== undefined;
    },
  },
  {
    name: 'clock',
    allowed: 'stepped or unknown; empty means synced',
    tell: ({ clock }) => (clock === 'synced' ? '' : clock),
    read: (cell, into) => {
      const clock = oneOf('synced', 'stepped', 'unknown')(cell);
      if (clock !== undefined) into.clock = clock;
      return clock !== undefined;
    },
  },
  {
    // Time in which a power is lost is not recorded; time in which a source gives none is.
    name: 'lacks',
    allowed: 'names of quantities that the station tells otherwise, with a space between',
    tell: ({ reasons, quantities }) =>
      Object.keys(reasons)
        .filter(
          key => reasons[key as QuantityKey] !== 'notGiven' && (quantities?.[key as QuantityKey] ?? null) === null,
        )
        .sort()
        .join(' '),
    read: (cell, { reasons }) => {
      for (const key of cell.split(' ')) {
        if (quantityRow(key) === undefined) return false;
        reasons[key as QuantityKey] = 'notAvailable';
      }
      return true;
    },
  },
  {
    name: 'typed',
    allowed: 'true; empty means measured',
    tell: ({ typed }) => (typed === true ? 'true' : ''),
    read: (cell, into) => {
      if (cell !== 'true') return false;
      into.typed = true;
      return true;
    },
  },
  {
    // What is left of a minute whose readings were let go.
    name: 'meanOverMs',
    allowed: `1 to ${MEAN_MAX_MS} ms over which the row is a mean; empty means one reading`,
    counts: true,
    tell: ({ meanOverMs }) => (meanOverMs === undefined ? '' : String(meanOverMs)),
    read: (cell, into) => {
      const overMs = /^\d{1,7}$/.test(cell) ? Number(cell) : 0;
      if (overMs < 1 || overMs > MEAN_MAX_MS) return false;
      into.meanOverMs = overMs;
      return true;
    },
  },
];

export const wordColumn = (name: string): WordColumn | undefined => WORD_COLUMNS.find(column => column.name === name);
