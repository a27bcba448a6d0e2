/**
 * Any station with the Bluetooth SIG's Battery Service 1.1: the level at least, and whatever else of the service's
 * energy, time and level status and of the electrical characteristics it has. All is read every two seconds, and taken
 * at once where the station tells it by itself.
 */
import {
  type Adapter,
  type AdapterManifest,
  type AdapterSession,
  API_VERSION,
  type BleCharacteristic,
  createWholeFramer,
  type Framer,
  type PartReading,
  type Rejection,
  type Talk,
} from '#kit';
import { current, power, voltage } from './electric.ts';
import { energyStatus, timeStatus } from './energy.ts';
import { type Flow, flow, level, levelStatus } from './status.ts';
import { type Decode, readingOf, type Told, together, tooShort } from './told.ts';

const BATTERY_SERVICE = '180f';
const READ_LIMIT_MS = 4000;

const told = (uuid: string): BleCharacteristic => ({
  service: BATTERY_SERVICE,
  uuid,
  use: ['notify', 'read'],
  optional: true,
});
const asked = (uuid: string): BleCharacteristic => ({ service: BATTERY_SERVICE, uuid, use: ['read'], optional: true });

/** What each tells, by itself or when asked. The level status comes before what takes its sign from it. */
const TOLD: Readonly<Record<string, Decode>> = { level, levelStatus, energyStatus, timeStatus, voltage };
/** Only when asked: which way the energy goes must be known. */
const ASKED: Readonly<Record<string, (value: Uint8Array, flow: Flow) => Told | null>> = { power, current };

const manifest: AdapterManifest = {
  id: 'ble-battery',
  title: 'Bluetooth battery service',
  version: '1',
  apiVersion: API_VERSION,
  transports: ['ble'],
  gives: [
    'stateOfChargePct',
    'inputPowerW',
    'outputPowerW',
    'batteryPowerW',
    'batteryVoltageV',
    'batteryCurrentA',
    'availableEnergyWh',
    'statedMinutesToEmpty',
    'statedMinutesToFull',
  ],
  intervalMs: 2000,
  maxFrameBytes: 64,
  maxReadingsPerS: 50,
  partsHoldMs: 10_000,
  ble: {
    find: { services: [BATTERY_SERVICE] },
    characteristics: {
      level: { service: BATTERY_SERVICE, uuid: '2a19', use: ['notify', 'read'] },
      levelStatus: told('2bed'),
      energyStatus: told('2bf0'),
      timeStatus: told('2bee'),
      voltage: told('2b18'),
      power: asked('2b05'),
      current: asked('2aee'),
    },
  },
};

/** One connection: what it lacks, and what it told by itself since it was last asked. */
class BatterySession implements AdapterSession {
  readonly #lacking = new Set<string>();
  readonly #heard = new Set<string>();
  #flow: Flow = null;

  createFramer(): Framer {
    return createWholeFramer(manifest);
  }

  decode(value: Uint8Array, from: string): PartReading | Rejection {
    const says = this.#told(value, from);
    if (says === null) return tooShort(from, value);
    this.#heard.add(from);
    return readingOf(says);
  }

  /** Rounds of reads, each as one reading: whatever was not told by itself meanwhile and is not lacking. */
  *talk(): Talk {
    for (;;) {
      const parts = new Map<string, Told>();
      for (const from of [...Object.keys(TOLD), ...Object.keys(ASKED)]) {
        if (this.#lacking.has(from) || this.#heard.has(from)) continue;
        const answer = yield { step: 'read', from, withinMs: READ_LIMIT_MS };
        if (!('frame' in answer)) continue;
        // So a characteristic answers that is lacking or refuses.
        if (answer.frame.length === 0) {
          this.#lacking.add(from);
          continue;
        }
        const says = this.#told(answer.frame, from) ?? ASKED[from]?.(answer.frame, this.#flow) ?? null;
        if (says === null) yield { step: 'give', answer: tooShort(from, answer.frame) };
        else parts.set(from, says);
      }
      // What was told while the round went on is newer than what was read.
      for (const from of this.#heard) parts.delete(from);
      this.#heard.clear();
      const round = together([...parts.values()]);
      if (parts.size > 0) yield { step: 'give', answer: { ...readingOf(round), part: 'round' } };
      yield { step: 'rest' };
    }
  }

  #told(value: Uint8Array, from: string): Told | null {
    if (from === 'levelStatus') this.#flow = flow(value);
    return TOLD[from]?.(value) ?? null;
  }
}

export const bleBattery: Adapter = { manifest, open: () => new BatterySession() };
