/** Stations that the built-in adapters are held against: written by the simulators, their values standing still. */
import { type Reply, type Sample, type ScriptedStation, STREAM } from '#kit';
import { createShed, shedFacts } from '../../simulators/honey-shed.ts';
import { BATTERY, batteryValues, currentValue, powerValue, voltageValue } from '../../simulators/radio/battery.ts';
import { encodeLine } from '../../simulators/wire/lines.ts';
import { createDevice } from '../../simulators/wire/modbus/device.ts';
import type { Make } from '../../simulators/wire/modbus/models.ts';
import { rtuFrame } from '../../simulators/wire/modbus/rtu-side.ts';
import { tcpSide } from '../../simulators/wire/modbus/tcp-side.ts';

const NOON = Date.UTC(2026, 5, 21, 12);
const PLACE = { latitudeDeg: 34.6, longitudeDeg: 0 };
const DELAY_MS = 20;

function shed() {
  const plant = createShed({ ...PLACE, seed: 5, zone: 'UTC', startMs: NOON - 60_000, startPct: 64, mains: false });
  plant.step(NOON);
  return plant;
}

/** Lines of the honey shed around noon. */
export function lineSamples(): Sample[] {
  const plant = shed();
  return Array.from({ length: 10 }, (_, i) => {
    plant.step(NOON + i * 1000);
    const { solarPowerW, stateOfChargePct } = plant.sample().quantities;
    return {
      name: `second ${i}`,
      text: Buffer.from(encodeLine(plant.sample())).toString('utf8'),
      expects: { solarPowerW: solarPowerW!, stateOfChargePct: stateOfChargePct! },
    };
  });
}

const reply = (bytes: Uint8Array): Reply[] => [{ from: STREAM, bytes, delayMs: DELAY_MS }];

export function sunspecStation(framing: 'rtu' | 'tcp', make: Make): () => ScriptedStation {
  const facts = { make, unit: 1, base: 40_000, ratedWh: shedFacts(PLACE).pack.ratedWh };
  const device = createDevice(shed(), () => undefined, facts);
  return () => ({
    unasked: [],
    read: () => [],
    asked(message) {
      if (framing === 'rtu') return message[0] === 1 ? reply(rtuFrame(1, device.answer(message.subarray(1, -2)))) : [];
      const replies: Reply[] = [];
      tcpSide({ unit: 1, answer: device.answer }, bytes => void replies.push(...reply(bytes)))(message);
      return replies;
    },
  });
}

/** A battery service; `lacking`: characteristics that this one has not. */
export function batteryStation(lacking: readonly string[] = []): () => ScriptedStation {
  const figures = {
    levelPct: 71,
    inputW: 181,
    outputW: 61,
    voltageV: 26.4,
    availableWh: 1370,
    toEmptyMin: null,
    toFullMin: 95,
  };
  const byUuid = batteryValues(figures);
  const values: Record<string, Buffer | undefined> = {
    level: byUuid[BATTERY.level],
    levelStatus: byUuid[BATTERY.levelStatus],
    energyStatus: byUuid[BATTERY.energyStatus],
    timeStatus: byUuid[BATTERY.timeStatus],
    voltage: voltageValue(26.4),
    power: powerValue(120),
    current: currentValue(4.55),
  };
  const value = (from: string): Uint8Array =>
    lacking.includes(from) ? new Uint8Array(0) : (values[from] ?? new Uint8Array(0));
  return () => ({
    asked: () => [],
    read: from => [{ from, bytes: value(from), delayMs: DELAY_MS }],
    unasked: ['level', 'energyStatus'].map(from => ({ from, bytes: value(from), delayMs: 300 })),
  });
}
