/** What was typed to begin a trial, and the options it makes; what makes no sense is told field by field. Pure. */
import type { TrialConditions, TrialKind, TrialMeter, TrialOptions } from '#messages';
import { numberTyped } from '../../typed-text.ts';
import { type FieldName, NAME_NEEDED, typedWrong } from '../../words/trials-begin.ts';

export type Typed = Readonly<Partial<Record<FieldName, string>>>;
export type Wrong = ReadonlyMap<FieldName, string>;
export type Read = { options: TrialOptions; conditions: TrialConditions } | { wrong: Wrong };

/** Allowed by the contract, low and high; a third one: whole numbers only. */
const RANGES: Partial<Record<FieldName, readonly [number, number, 'whole'?]>> = {
  floorPct: [0, 90],
  narrowPct: [1, 50],
  longestHours: [1, 96],
  loads: [3, 12, 'whole'],
  fromPct: [0, 60],
  aRatedW: [1, 20_000],
  bRatedW: [1, 20_000],
  portA: [1, 16, 'whole'],
  portB: [1, 16, 'whole'],
  meterLimitPct: [0, 20],
  airTempC: [-40, 60],
  tempMinC: [-30, 60],
  tempMaxC: [-30, 60],
  ownWattsLimitPct: [0, 20],
};
const [NAME_MOST, LOAD_MOST, NOTE_MOST] = [40, 80, 400];

/** Fields of a kind, those that are seldom changed apart. */
export const FIELDS_OF: Record<TrialKind, readonly FieldName[]> = {
  usable: ['load', 'floorPct'],
  charge: ['source', 'fromPct', 'discharge'],
  ownDraw: ['narrowPct', 'longestHours'],
  converter: ['loads'],
  solar: [],
  twoSets: ['how', 'aName', 'aRatedW', 'bName', 'bRatedW', 'portA', 'portB'],
};
export const METERED: readonly TrialKind[] = ['usable', 'converter', 'charge'];
export const SELDOM: readonly FieldName[] = ['airTempC', 'note', 'tempMinC', 'tempMaxC', 'ownWattsLimitPct'];

/** As it stands before anything is typed. Limits: common practice, no source; the agent presumes the same. */
export const BEGINNING: Typed = {
  source: 'wall',
  how: 'alternated',
  narrowPct: '10',
  longestHours: '24',
  loads: '4',
  fromPct: '10',
  meter: 'none',
  meterLimitPct: '1',
  portA: '1',
  portB: '2',
  discharge: '',
};

/** Whether a field is asked under what was chosen before it. */
export function isAsked(field: FieldName, typed: Typed): boolean {
  if (field === 'portA' || field === 'portB') return typed.how === 'ports';
  if (field === 'meterName' || field === 'meterLimitPct') return (typed.meter ?? 'none') !== 'none';
  return true;
}

class Reader {
  readonly wrong = new Map<FieldName, string>();
  private readonly typed: Typed;

  constructor(typed: Typed) {
    this.typed = typed;
  }

  text(field: FieldName, most: number): string | undefined {
    const text = (this.typed[field] ?? '').trim();
    return text === '' ? undefined : text.slice(0, most);
  }

  number(field: FieldName): number | undefined {
    const text = this.text(field, 40);
    if (text === undefined || !isAsked(field, this.typed)) return undefined;
    const [low, high, whole] = RANGES[field]!;
    const value = numberTyped(text);
    if (value !== null && value >= low && value <= high && (whole === undefined || Number.isInteger(value)))
      return value;
    this.wrong.set(field, typedWrong(low, high));
    return undefined;
  }

  needed(field: FieldName): number {
    const value = this.number(field);
    const [low, high] = RANGES[field]!;
    if (value === undefined) this.wrong.set(field, typedWrong(low, high));
    return value ?? low;
  }

  name(field: FieldName): string {
    const text = (this.typed[field] ?? '').trim();
    if (text === '' || text.length > NAME_MOST) this.wrong.set(field, NAME_NEEDED);
    return text;
  }
}

/** Left-out choices stay away: the agent knows what is usual. */
const present = <T extends object>(of: T): T =>
  Object.fromEntries(Object.entries(of).filter(([, value]) => value !== undefined)) as T;

function meterOf(read: Reader, typed: Typed): TrialMeter | undefined {
  const chosen = typed.meter ?? 'none';
  if (chosen === 'none') return undefined;
  return {
    source: chosen === 'typed' ? null : chosen.replace(/^source:/, ''),
    name: read.name('meterName'),
    limitPct: read.needed('meterLimitPct'),
    stepW: 0.1,
    stepWh: 1,
  };
}

function ofKind(kind: TrialKind, read: Reader, typed: Typed): TrialOptions {
  switch (kind) {
    case 'usable':
      return { kind, floorPct: read.number('floorPct') ?? null };
    case 'ownDraw':
      return { kind, narrowPct: read.number('narrowPct'), longestHours: read.number('longestHours') };
    case 'converter':
      return { kind, loads: read.number('loads') };
    case 'charge':
      return {
        kind,
        source: typed.source === 'sun' ? 'sun' : 'wall',
        fromPct: read.number('fromPct'),
        discharge: read.text('discharge', NAME_MOST),
      };
    case 'solar':
      return { kind };
    case 'twoSets':
      return {
        kind,
        how: typed.how === 'ports' ? 'ports' : 'alternated',
        a: { name: read.name('aName'), ratedW: read.needed('aRatedW') },
        b: { name: read.name('bName'), ratedW: read.needed('bRatedW') },
        portA: read.number('portA'),
        portB: read.number('portB'),
      };
  }
}

export function readTyped(kind: TrialKind, typed: Typed): Read {
  const read = new Reader(typed);
  const options = {
    ...ofKind(kind, read, typed),
    tempMinC: read.number('tempMinC'),
    tempMaxC: read.number('tempMaxC'),
    ownWattsLimitPct: read.number('ownWattsLimitPct'),
    meter: METERED.includes(kind) ? meterOf(read, typed) : undefined,
  } as TrialOptions;
  const conditions = {
    load: read.text('load', LOAD_MOST),
    airTempC: read.number('airTempC'),
    note: read.text('note', NOTE_MOST),
  };
  return read.wrong.size > 0
    ? { wrong: read.wrong }
    : { options: present(options), conditions: present(conditions) as TrialConditions };
}
