import { expect, it } from 'vitest';
import { conformanceText, runConformance, type Sample } from '#kit/conformance/index';
import { sunspecModbus, sunspecTcp } from '../../protocol-adapters/sunspec-modbus/index.ts';
import { sunspecWords } from '../../simulators/wire/modbus/models.ts';
import { modbusLine } from '../support/modbus-line.ts';

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex').replace(/..\B/g, '$& ');

/** A device that always shows the same. */
const steady = (make: '701' | '103') =>
  sunspecWords(make, 1, {
    solarW: 181.4,
    solarV: 52.31,
    solarA: 3.47,
    wallW: 0,
    acW: 77.2,
    dcW: 6.5,
    acOn: true,
    chargePct: 64,
    ratedWh: 1640,
    batteryV: 52.4,
    batteryA: 1.74,
    solarWh: 12_345.6,
    acOutputWh: 4321,
    dcOutputWh: 210,
    wallWh: 99,
    heartbeat: 7,
  });

/** Every question of two minutes with its answer, as a capture of both ways would hold them. */
function samplesOf(framing: 'rtu' | 'tcp', make: '701' | '103'): Sample[] {
  const words = steady(make);
  const line = modbusLine({ framing, words: () => words });
  line.clock.advance(120_000);
  const seen = new Map<string, Sample>();
  for (const { asked, reply } of line.exchanges) {
    const key = hex(asked);
    if (!seen.has(key)) seen.set(key, { name: `answer ${seen.size + 1}`, asked: key, hex: hex(reply) });
  }
  return [...seen.values()];
}

it.each([
  ['rtu', '701'],
  ['rtu', '103'],
  ['tcp', '701'],
  ['tcp', '103'],
] as const)('SunSpec over %s, make %s, passes the conformance suite', (framing, make) => {
  const adapter = framing === 'rtu' ? sunspecModbus : sunspecTcp;
  const report = runConformance(adapter, { seed: 11, samples: samplesOf(framing, make) });
  expect(report.ok, conformanceText(report)).toBe(true);
  expect(report.checks.find(({ name }) => name === 'talk')?.pending).toBeUndefined();
});
