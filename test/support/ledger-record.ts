/** Days on record whose panels follow the clear sky, for tests of the Ledger. */
import * as v from 'valibot';
import type { CivilDay } from '#energy/civil-day';
import { totalWm2 } from '#energy/laws/plane-of-array';
import { onPlane } from '#energy/panel-power';
import { clearSkyOver } from '#energy/sky';
import { type Fact, StationSettings } from '#messages';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { takeRecording } from '../../agent/commands/take-recording.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { freshFolder, openTestRecord, reading } from './record.ts';

export const ZONE = 'Europe/Zurich';
export const PLANE = { tiltDeg: 30, azimuthDeg: 180 };
export const PLACE = { latitudeDeg: 46.05, longitudeDeg: 7.1 };
export const RATED_W = 270;
/** Watts for each watt of label and W/m² that the panels of these records give under a clear sky. */
export const GIVES = 0.8;

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

export interface Course {
  readonly first: Pick<CivilDay, 'startMs' | 'endMs'>;
  readonly days?: number;
  readonly stepMs?: number;
  /** Nothing is recorded then. */
  readonly missing?: (atMs: number) => boolean;
  /** Share of a clear sky's light. */
  readonly sky?: (atMs: number) => number;
  /** Watts, where they are not those of the light. */
  readonly powerW?: (atMs: number) => number;
  readonly stateOfChargePct?: (atMs: number) => number;
  /** Light measured on the panels, as a share of the clear sky's. */
  readonly measured?: (atMs: number) => number;
  readonly settings?: StationSettings;
}

/** Days of readings, from the first instant of a day on. */
export function recordedDays(course: Course): { record: OpenedRecord; facts: Fact[] } {
  const { first, days = 1, stepMs = 60_000, settings = shedSettings() } = course;
  const record = openTestRecord(freshFolder());
  const readings = [];
  const endMs = first.endMs + (days - 1) * 86_400_000;
  for (let at = first.startMs, seq = 0; at < endMs; at += stepMs) {
    if (course.missing?.(at) === true) continue;
    const inputPowerW = course.powerW?.(at) ?? GIVES * (RATED_W / 1000) * planeWm2(at) * (course.sky?.(at) ?? 1);
    const light = course.measured === undefined ? {} : { planeOfArrayWm2: course.measured(at) * planeWm2(at) };
    const quantities = {
      inputPowerW,
      outputPowerW: 0,
      stateOfChargePct: course.stateOfChargePct?.(at) ?? 50,
      ...light,
    };
    readings.push(reading(seq++, quantities, { at, monoMs: at - first.startMs, states: { inputSource: 'sun' } }));
  }
  takeRecording(readings, factsOf(settings, stepMs, settings.zone ?? ZONE), record, null);
  return { record, facts: factsOfSettings(settings) };
}
