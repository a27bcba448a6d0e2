/**
 * The table of alarms: all there are, at most eight. Limits with a deadband (raised at one value, over at another), how
 * long a state must hold, and how calm it must have been before the same one calls again. Spans ms. The half hour, the
 * 5 % and the ten minutes are the task's; all other figures are common practice, no source.
 */
import type { AlarmKind, WireAlarm } from '#messages';
import { ALARM_WORDS, type AlarmWords } from './words.ts';

const SECOND_MS = 1_000;
const MINUTE_MS = 60_000;

/** Where it is raised and where it is over; between the two nothing changes. */
export interface Deadband {
  readonly raise: number;
  readonly over: number;
  readonly unit: string;
}

export interface AlarmRow {
  readonly words: AlarmWords;
  readonly priority: WireAlarm['priority'];
  /** Null where what raises it is no figure: then `overForMs` alone keeps it steady. */
  readonly deadband: Deadband | null;
  /** Its cause has to hold for so long. */
  readonly delayMs: number;
  /** Over only once its cause was gone for so long. */
  readonly overForMs: number;
  /** Calls anew only after its cause was gone for so long; before that the same one stands again, in silence. */
  readonly calmMs: number;
  /** So long instead where it is gone for now and what brings it is still there. */
  readonly calmNearMs?: number;
  /** What it rests on: where the station's readings end, all that rests on them gives way to `silent`. */
  readonly restsOn: 'readings' | 'projection' | 'agent';
}

const CALM_MS = 10 * MINUTE_MS;
/** A battery within so much of its floor has not risen from it. */
export const NEAR_FLOOR_PCT = 10;

export const ALARMS: Readonly<Record<AlarmKind, AlarmRow>> = {
  ending: {
    words: ALARM_WORDS.ending,
    priority: 'high',
    // A range that breathes raises nothing twice, and a mains that flickers ends nothing. What is promised is steadied
    // where it is made: no delay on top of that.
    deadband: { raise: 30, over: 45, unit: 'min' },
    delayMs: 0,
    overForMs: MINUTE_MS,
    calmMs: CALM_MS,
    // Down at its floor a promise comes and goes with each lamp: one call for a night.
    calmNearMs: 6 * 60 * MINUTE_MS,
    restsOn: 'projection',
  },
  quiet: {
    words: ALARM_WORDS.quiet,
    priority: 'medium',
    // Three cycles have gone by already; over with the first draw.
    deadband: { raise: 3, over: 1, unit: 'cycles' },
    delayMs: 0,
    overForMs: 0,
    calmMs: CALM_MS,
    restsOn: 'projection',
  },
  silent: {
    words: ALARM_WORDS.silent,
    priority: 'medium',
    deadband: { raise: 10, over: 1, unit: 'min without a reading' },
    delayMs: 0,
    overForMs: 30 * SECOND_MS,
    // A loose cable calls once an hour at most.
    calmMs: 60 * MINUTE_MS,
    restsOn: 'agent',
  },
  overVolts: {
    words: ALARM_WORDS.overVolts,
    priority: 'high',
    deadband: { raise: 95, over: 92, unit: '% of the port’s limit' },
    delayMs: 4 * SECOND_MS,
    overForMs: 2 * MINUTE_MS,
    calmMs: 30 * MINUTE_MS,
    restsOn: 'readings',
  },
  cold: {
    words: ALARM_WORDS.cold,
    priority: 'medium',
    deadband: { raise: 2, over: 4, unit: '°C' },
    delayMs: MINUTE_MS,
    overForMs: 5 * MINUTE_MS,
    // Clouds end a charge again and again: one call for a cold morning.
    calmMs: 3 * 60 * MINUTE_MS,
    restsOn: 'readings',
  },
  fault: {
    words: ALARM_WORDS.fault,
    priority: 'high',
    deadband: null,
    delayMs: 10 * SECOND_MS,
    overForMs: MINUTE_MS,
    calmMs: CALM_MS,
    restsOn: 'readings',
  },
  unsaved: {
    words: ALARM_WORDS.unsaved,
    priority: 'medium',
    deadband: null,
    delayMs: MINUTE_MS,
    overForMs: 30 * SECOND_MS,
    calmMs: CALM_MS,
    restsOn: 'agent',
  },
  clock: {
    words: ALARM_WORDS.clock,
    priority: 'low',
    deadband: null,
    delayMs: MINUTE_MS,
    overForMs: MINUTE_MS,
    calmMs: 60 * MINUTE_MS,
    restsOn: 'agent',
  },
};
