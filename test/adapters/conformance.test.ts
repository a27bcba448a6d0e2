import { describe, expect, it } from 'vitest';
import { type Adapter, type Check, type ConformanceOptions, conformanceText, runConformance } from '#kit';
import { bleBattery } from '../../protocol-adapters/ble-battery/index.ts';
import example, { samples } from '../../protocol-adapters/example/index.ts';
import { builtInAdapters } from '../../protocol-adapters/index.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';
import { sunspecModbus, sunspecTcp } from '../../protocol-adapters/sunspec-modbus/index.ts';
import { batteryStation, lineSamples, sunspecStation } from '../support/stations.ts';

type Bytes = Omit<ConformanceOptions, 'seed'>;
const SEEDS = [1, 2, 3];

const CASES: readonly (readonly [string, Adapter, Bytes])[] = [
  ['lines, the honey shed', lines, { samples: lineSamples() }],
  ['the example, its own samples', example, { samples }],
  ['SunSpec over RTU, newer models', sunspecModbus, { station: sunspecStation('rtu', '701') }],
  ['SunSpec over RTU, older models', sunspecModbus, { station: sunspecStation('rtu', '103') }],
  ['SunSpec over TCP, newer models', sunspecTcp, { station: sunspecStation('tcp', '701') }],
  ['a whole battery service', bleBattery, { station: batteryStation() }],
  [
    'a battery service that tells only its level',
    bleBattery,
    { station: batteryStation(['levelStatus', 'energyStatus', 'timeStatus', 'voltage', 'power', 'current']) },
  ],
];

const wrong = (checks: readonly Check[]): Check[] => checks.filter(({ ok }) => !ok);

describe('conformance', () => {
  it('is asked of every built-in', () => {
    const asked = new Set(CASES.map(([, adapter]) => adapter));
    for (const adapter of builtInAdapters) expect(asked).toContain(adapter);
  });

  it.each(CASES)(
    'of %s: nothing is wrong and nothing but the pace is left open, whatever the seed',
    (_, adapter, bytes) => {
      for (const seed of SEEDS) {
        const report = runConformance(adapter, { ...bytes, seed });
        expect(wrong(report.checks)).toEqual([]);
        expect(report.checks.filter(({ pending }) => pending).map(({ name }) => name)).toEqual(
          report.checks.some(({ name, pending }) => name === 'rate' && pending) ? ['rate'] : [],
        );
        expect(conformanceText(report)).toContain(`(seed ${seed})`);
      }
    },
  );

  it('gives the same report for the same seed', () => {
    const once = runConformance(lines, { samples: lineSamples(), seed: 5 });
    expect(runConformance(lines, { samples: lineSamples(), seed: 5 })).toEqual(once);
  });
});
