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

function decode(value: Uint8Array, from: string): PartReading | Rejection {
  const says = TOLD[from]?.(value) ?? null;
  return says === null ? tooShort(from, value) : readingOf(says);
}

/** One round of reads as one reading; what is not there is not asked for again in this connection. */
function* talk(): Talk {
  const lacking = new Set<string>();
  for (;;) {
    const parts: Told[] = [];
    let flows: Flow = null;
    for (const from of [...Object.keys(TOLD), ...Object.keys(ASKED)]) {
      if (lacking.has(from)) continue;
      const answer = yield { step: 'read', from, withinMs: READ_LIMIT_MS };
      if (!('frame' in answer)) continue;
      // So a characteristic answers that is lacking or refuses.
      if (answer.frame.length === 0) {
        lacking.add(from);
        continue;
      }
      if (from === 'levelStatus') flows = flow(answer.frame);
      const says = TOLD[from]?.(answer.frame) ?? ASKED[from]?.(answer.frame, flows) ?? null;
      if (says === null) yield { step: 'give', answer: tooShort(from, answer.frame) };
      else parts.push(says);
    }
    if (parts.length > 0) yield { step: 'give', answer: { ...readingOf(together(parts)), part: 'round' } };
    yield { step: 'rest' };
  }
}

const open = (): AdapterSession => ({ createFramer: () => createWholeFramer(manifest), decode, talk });

export const bleBattery: Adapter = { manifest, open };
