/**
 * Trials on a real record with the real process that reads it, and a hidden station whose discharge is recorded as fast
 * as the disk takes it. A kill is a copy of the folder as it lay: nothing is closed before.
 */
import { cpSync } from 'node:fs';
import { onTestFinished } from 'vitest';
import type { TrialSamples } from '#energy/estimates/trials/asked';
import type { Quantities, Reading, States } from '#kit';
import type { KeptTrial, LiveMessage, TrialAnswer } from '#messages';
import { createReadingDesk } from '../../agent/commands/run/reading/desk.ts';
import { openTrials, type RunningTrials } from '../../agent/commands/run/trials-door.ts';
import type { KnownStation, TrialsKnown } from '../../agent/commands/trials/known.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { bundle } from './child.ts';
import { type HandClock, handClock } from './hand-clock.ts';
import { shedSettings } from './ledger-record.ts';
import { batch, freshFolder, openTestRecord } from './record.ts';

const COLUMNS = {
  inputW: 'inputPowerW',
  outputW: 'outputPowerW',
  acOutputW: 'acOutputPowerW',
  dcOutputW: 'dcOutputPowerW',
  chargerW: 'chargerPowerW',
  solarW: 'solarPowerW',
  pct: 'stateOfChargePct',
  batteryV: 'batteryVoltageV',
  batteryA: 'batteryCurrentA',
  tempC: 'batteryTempC',
} as const;

/** Columns as a station's readings, each so much later. */
export function readingsOf(samples: TrialSamples, laterMs: number, session = 's1'): Reading[] {
  return Array.from(samples.at, (at, k) => {
    const quantities: Quantities = {};
    for (const [name, key] of Object.entries(COLUMNS)) {
      const value = samples[name as keyof typeof COLUMNS][k];
      if (value !== undefined && !Number.isNaN(value)) quantities[key] = value;
    }
    const states: States = {};
    if (samples.acOn[k] === 0 || samples.acOn[k] === 1) states.acOutletsOn = samples.acOn[k] === 1;
    if (samples.onMains[k] === 0 || samples.onMains[k] === 1) states.onMains = samples.onMains[k] === 1;
    const instant = Math.round(at + laterMs);
    return {
      station: 'shed',
      session,
      seq: k + 1,
      monoMs: instant,
      at: instant,
      clock: 'synced',
      quantities,
      states,
      quality: 'good',
      reasons: {},
    };
  });
}

export interface TrialsStage {
  readonly dataDir: string;
  readonly record: OpenedRecord;
  readonly clock: HandClock;
  readonly trials: RunningTrials;
  readonly known: TrialsKnown;
  /** What pages were told, oldest first. */
  readonly published: readonly LiveMessage[];
  /** What is done every ten seconds while the agent runs. */
  look(): void;
  /** Records readings and moves the clock to the last of them. */
  take(readings: readonly Reading[]): void;
  /** The same folder as a power cut would leave it, opened anew. */
  killed(): TrialsStage;
  kept(id: string): KeptTrial;
}

export const shedKnown = (more: object = {}, over: Partial<KnownStation> = {}): TrialsKnown => {
  const settings = shedSettings({ ratedWh: 1000, ...more });
  const gives = Object.values(COLUMNS);
  const panels = [{ ratedW: 270, powerPerK: null, plane: { tiltDeg: 30, azimuthDeg: 180 } }];
  const station = { settings, gives, zone: 'Europe/Zurich', intervalMs: 1000, panels, portMaxW: null, ...over };
  return { version: '1.2.3', simulated: false, stations: [station], tariff: { perKWh: 0.3, currency: 'EUR' } };
};

export function openTrialsStage(known: TrialsKnown, startAt: number, dataDir = freshFolder()): TrialsStage {
  const clock = handClock(startAt);
  const { simulated: demo } = known;
  const published: LiveMessage[] = [];
  let due = (): void => undefined;
  const record = openTestRecord(`${dataDir}/${demo ? 'demo' : 'record'}`, { nowMs: clock.now, demo });
  const desk = createReadingDesk({
    entry: bundle('agent/commands/run/read-child.ts'),
    // It stays, so that what it holds of a trial is held.
    timers: { after: () => () => undefined },
    log: { error: (_area, message) => expectNone(message) },
  });
  const trials = openTrials({
    desk,
    holding: { demo, record, watch: { keep: said => record.commit(batch([], said)) } },
    dataDir,
    // Nothing is looked at by itself: each test asks, or has it looked at.
    timers: {
      after: (_, act) => {
        due = act;
        return () => undefined;
      },
    },
    clock: { nowMs: clock.now },
    log: { error: (_area, message) => expectNone(message) },
    known: () => known,
    publish: message => published.push(message),
  });
  onTestFinished(async () => {
    trials.close();
    await desk.close();
  });
  return {
    dataDir,
    record,
    clock,
    trials,
    known,
    published,
    look: () => due(),
    take(readings) {
      const HOUR = 3_600;
      for (let i = 0; i < readings.length; i += HOUR) record.commit(batch(readings.slice(i, i + HOUR)));
      const last = readings.at(-1);
      if (last !== undefined && last.at > clock.now()) clock.advance(last.at - clock.now() + 5_000);
    },
    killed() {
      const copy = freshFolder();
      cpSync(dataDir, copy, { recursive: true, filter: path => !path.endsWith('lock') });
      return openTrialsStage(known, clock.now(), copy);
    },
    kept: id => record.trial(id)!,
  };
}

function expectNone(message: string): never {
  throw new Error(message);
}

export async function textOf(answer: AsyncIterator<Uint8Array>): Promise<string> {
  const pieces: Uint8Array[] = [];
  for (let step = await answer.next(); step.done !== true; step = await answer.next()) pieces.push(step.value);
  return Buffer.concat(pieces).toString();
}

export const figureOf = ({ trial }: TrialAnswer, what: string) =>
  trial.judgement.result?.figures.find(figure => figure.what === what);
