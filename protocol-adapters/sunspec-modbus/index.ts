/**
 * SunSpec devices over Modbus, in its two framings: RTU over a serial cable (or a bridge that passes it through
 * unchanged) and Modbus TCP. Two adapters, since the framing is what one must know beforehand. They only ever read
 * holding registers.
 */
import { type Adapter, type AdapterManifest, API_VERSION, type QuantityName, type TransportKind } from '#kit';
import { mbap } from './mbap.ts';
import { rtu } from './rtu.ts';
import { converse, unasked } from './talk.ts';
import type { Wire } from './wire.ts';

const GIVES: readonly QuantityName[] = [
  'solarPowerW',
  'solarVoltageV',
  'solarCurrentA',
  'chargerPowerW',
  'inputPowerW',
  'acOutputPowerW',
  'dcOutputPowerW',
  'outputPowerW',
  'stateOfChargePct',
  'stateOfHealthPct',
  'availableEnergyWh',
  'batteryVoltageV',
  'batteryCurrentA',
  'batteryPowerW',
  'acVoltageV',
  'acFrequencyHz',
  'solarEnergyWh',
  'chargerEnergyWh',
  'outputEnergyWh',
];
/** Its 32-bit accumulators; those of 64 bits never come to their end. */
const COUNTER_STEPS = 2 ** 32;
/** A device of four models takes 0.7 s of a line of 9600 baud. */
const INTERVAL_MS = 2000;

interface Variant {
  readonly id: string;
  readonly title: string;
  readonly transports: readonly TransportKind[];
  readonly wire: Wire;
}

function adapterFor({ id, title, transports, wire }: Variant): Adapter {
  const { maxFrameBytes, requests, createFramer } = wire;
  const manifest: AdapterManifest = {
    id,
    title,
    version: '1',
    apiVersion: API_VERSION,
    transports,
    gives: GIVES,
    intervalMs: INTERVAL_MS,
    maxFrameBytes,
    maxReadingsPerS: 2,
    counterSteps: COUNTER_STEPS,
    requests,
  };
  return { manifest, open: () => ({ createFramer, decode: unasked, talk: () => converse(wire) }) };
}

export const sunspecModbus = adapterFor({
  id: 'sunspec-modbus',
  title: 'SunSpec over a serial cable (Modbus RTU)',
  transports: ['serial', 'tcp'],
  wire: rtu,
});

export const sunspecTcp = adapterFor({
  id: 'sunspec-tcp',
  title: 'SunSpec over the network (Modbus TCP)',
  transports: ['tcp'],
  wire: mbap,
});
