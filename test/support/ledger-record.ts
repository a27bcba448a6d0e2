/** Days on record whose panels follow the clear sky, for tests of the Ledger. */
import * as v from 'valibot';
import { type CivilDay, civilDayOf } from '#energy/civil-day';
import { totalWm2 } from '#energy/laws/plane-of-array';
import { onPlane } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import type { Quantities, States } from '#kit';
import { type Fact, type LedgerAnswer, type LedgerDay, StationSettings } from '#messages';
import { type LedgerWorked, ledgerWorked } from '../../agent/commands/ledger-answer.ts';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { freshFolder, openTestRecord, reading } from './record.ts';

export const ZONE = 'Europe/Zurich';
export const PLANE = { tiltDeg: 30, azimuthDeg: 180 };
export const PLACE = { latitudeDeg: 46.05, longitudeDeg: 7.1 };
export const RATED_W = 270;
/** Watts for each watt of label and 1000 W/m² that the panels of these records give under a clear sky. */
export const GIVES = 0.8;
const DAY_MS = 86_400_000;
const HOUR_MS = 3_600_000;

export const shedSettings = (more: object = {}): StationSettings =>
  v.parse(StationSettings, {
    id: 'shed',
    name: 'Honey shed',
    transport: { kind: 'typed' },
    inputSource: 'sun',
    zone: ZONE,
    place: PLACE,
    panel: [{ name: 'Folding', ratedW: 90, count: 3, ...PLANE }],
    ...more,
  });

const skyAt = clearSkyOver({ ...PLACE, altitudeM: 0, turbidity: 3 });
/** Light on the panels under a clear sky, W/m². */
export const planeWm2 = (atMs: number): number => totalWm2(onPlane(skyAt(atMs), PLANE));
/** Watts of these panels under a clear sky. */
export const clearW = (atMs: number): number => GIVES * (RATED_W / 1000) * planeWm2(atMs);

export const dayAt = (date: string, zone = ZONE): CivilDay => civilDayOf(Date.parse(`${date}T12:00:00Z`), zone);

export interface Course {
  /** Civil date of the first day. */
  readonly from: string;
  readonly days?: number;
  readonly stepMs?: number;
  /** Nothing is recorded then. @param hour since the first midnight */
  readonly missing?: (hour: number) => boolean;
  /** Watts from the sun; the clear sky's where left out. */
  readonly powerW?: (atMs: number, hour: number) => number;
  readonly stateOfChargePct?: (hour: number) => number;
  /** Light measured on the panels, as a share of the clear sky's. */
  readonly measured?: number;
  /** What the station says to hold its input back; not told where left out. */
  readonly limitedBy?: (hour: number) => string | undefined;
  readonly settings?: StationSettings;
}

/** Days of readings, from the first instant of a day on. */
export function recordedDays(course: Course): OpenedRecord {
  const { days = 1, stepMs = 60_000, settings = shedSettings() } = course;
  const { startMs } = dayAt(course.from, settings.zone);
  const record = openTestRecord(freshFolder());
  take(record, course, settings, startMs, startMs + days * DAY_MS, stepMs, null);
  return record;
}

/** More readings of the same course, under other settings. */
export function goOn(record: OpenedRecord, course: Course, settings: StationSettings, fromMs: number, toMs: number) {
  take(record, course, settings, fromMs, toMs, course.stepMs ?? 60_000, record.extent('shed')!.toMs);
}

function take(
  record: OpenedRecord,
  course: Course,
  settings: StationSettings,
  fromMs: number,
  toMs: number,
  stepMs: number,
  resumeAt: number | null,
): void {
  const readings = [];
  let seq = record.cursor('shed')?.seq ?? 0;
  for (let at = fromMs; at < toMs; at += stepMs) {
    const hour = (at - fromMs) / HOUR_MS;
    if (course.missing?.(hour) === true) continue;
    const quantities: Quantities = {
      inputPowerW: course.powerW?.(at, hour) ?? clearW(at),
      outputPowerW: 0,
      stateOfChargePct: course.stateOfChargePct?.(hour) ?? 50,
      ...(course.measured === undefined ? {} : { planeOfArrayWm2: course.measured * planeWm2(at) }),
    };
    const inputLimitedBy = course.limitedBy?.(hour) as States['inputLimitedBy'] | undefined;
    const states: States = { inputSource: 'sun', ...(inputLimitedBy === undefined ? {} : { inputLimitedBy }) };
    readings.push(reading(++seq, quantities, { at, monoMs: at, states }));
  }
  takeRecording(readings, factsOf(settings, stepMs, settings.zone ?? ZONE), record, resumeAt);
}

export interface Asking {
  readonly facts?: readonly Fact[];
  readonly from?: string;
  readonly to?: string;
  readonly nowMs?: number;
  readonly zone?: string;
}

/** All days of a record, long after they were, unless it is asked otherwise. */
export const workedOf = (record: OpenedRecord, asking: Asking = {}): LedgerWorked =>
  ledgerWorked(record, {
    station: 'shed',
    zone: asking.zone ?? ZONE,
    from: asking.from ?? '0001-01-01',
    to: asking.to ?? record.days('shed', '0001-01-01', '9999-12-31').at(-1)!.date,
    nowMs: asking.nowMs ?? record.extent('shed')!.toMs + 30 * DAY_MS,
    facts: asking.facts ?? factsOfSettings(shedSettings()),
  });

export const answerOf = (record: OpenedRecord, asking: Asking = {}): LedgerAnswer => workedOf(record, asking).answer;
export const firstDayOf = (record: OpenedRecord, asking: Asking = {}): LedgerDay => answerOf(record, asking).days[0]!;

export const factOf = (key: string, value: unknown, validFromMs: number): Fact => ({
  station: 'shed',
  key,
  valueJson: value === null ? null : JSON.stringify(value),
  validFromMs,
});

/** Harvest and causes against the clear sky, mWh. */
export const offBy = ({ whereItWent, solarWh, clearSkyWh }: LedgerDay): number =>
  Math.round(1000 * clearSkyWh!) -
  Math.round(1000 * solarWh) -
  Object.values(whereItWent!).reduce((sum, wh) => sum + Math.round(1000 * wh), 0);
