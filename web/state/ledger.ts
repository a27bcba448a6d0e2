/**
 * Asks the agent for a stretch of the ledger. The answer is checked by its schema, but for its two long lists, the days and
 * the carpet's rows: a plain loop looks at them, many times as fast, since a year is to be read in one go.
 */
import * as v from 'valibot';
import { LedgerAnswer, type LedgerDay, WhereItWent } from '#messages';
import type { AgentApi, Answer } from './api.ts';

type Rows = LedgerAnswer['carpet']['rows'];
/** `value`: a number or null; `maybe`: that or absent; `parts` and `counted`: an object of such, or null. */
type Kind = 'number' | 'value' | 'maybe' | 'text' | 'choice' | 'parts' | 'counted';

const KINDS = {
  date: 'text',
  zone: 'text',
  solarWh: 'number',
  inputWh: 'number',
  outputWh: 'number',
  coveragePct: 'number',
  coveredMs: 'number',
  gapMs: 'number',
  solarPeakW: 'number',
  stateOfChargeMinPct: 'value',
  stateOfChargeMaxPct: 'value',
  startAt: 'text',
  endAt: 'text',
  ratedW: 'value',
  clearSkyWh: 'value',
  finalYieldH: 'value',
  referenceYieldH: 'value',
  referenceFrom: 'choice',
  performanceRatio: 'value',
  openReferenceYieldH: 'maybe',
  fullMin: 'number',
  portLimitMin: 'number',
  whereItWent: 'parts',
  worth: 'value',
  counted: 'counted',
} as const satisfies Record<keyof LedgerDay, Kind>;

const FIELDS = Object.entries(KINDS);
const PARTS = Object.keys(WhereItWent.entries);
const COUNTED = ['solarWh', 'inputWh', 'outputWh', 'bridgedSolarWh'];
type Bag = Record<string, unknown>;

const isValue = (value: unknown): boolean => value === null || typeof value === 'number';
const isBag = (value: unknown): value is Bag => typeof value === 'object' && value !== null;

const FITS: Record<Kind, (value: unknown) => boolean> = {
  number: value => typeof value === 'number',
  value: isValue,
  maybe: value => value === undefined || isValue(value),
  text: value => typeof value === 'string',
  choice: value => value === null || value === 'measured' || value === 'clear sky',
  parts: value => value === null || (isBag(value) && PARTS.every(part => typeof value[part] === 'number')),
  counted: value => value === null || (isBag(value) && COUNTED.every(key => isValue(value[key]))),
};

const areDays = (days: unknown): days is LedgerDay[] =>
  Array.isArray(days) && days.every(day => isBag(day) && FIELDS.every(([name, kind]) => FITS[kind](day[name])));

const areRows = (rows: unknown): rows is Rows =>
  Array.isArray(rows) && rows.every(row => Array.isArray(row) && row.every(isValue));

const Heard = v.object({
  ...LedgerAnswer.entries,
  days: v.custom<LedgerDay[]>(areDays),
  carpet: v.object({ stepMin: v.pipe(v.number(), v.minValue(1), v.maxValue(1440)), rows: v.custom<Rows>(areRows) }),
});

export const ledgerAddress = (station: string, from: string, to: string): string =>
  `/api/stations/${encodeURIComponent(station)}/ledger?from=${from}&to=${to}`;

/** @param from first civil date. @param to last one, included */
export const askLedger = (api: AgentApi, station: string, from: string, to: string): Promise<Answer<LedgerAnswer>> =>
  api.ask(Heard, ledgerAddress(station, from, to));
