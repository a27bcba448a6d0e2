/**
 * Simulated SunSpec devices on pseudo-terminals, all of one plant. Arguments: a folder for their names, how many, their
 * speed in baud. Prints one line once all can be opened; ends when its standard input does.
 */
import { join } from 'node:path';
import { createShed, SHED_START_PCT, shedFacts, shedPlace } from '../../../simulators/honey-shed.ts';
import { createDevice } from '../../../simulators/wire/modbus/device.ts';
import { rtuSide } from '../../../simulators/wire/modbus/rtu-side.ts';
import { ptyCable } from '../../../simulators/wire/pty.ts';
import { realTimers } from '../../support/real-time.ts';

const [folder = '', count = '1', speed = '9600'] = process.argv.slice(2);
const baud = Number(speed);
const startMs = Date.now();
const place = shedPlace('UTC', startMs);
const plant = createShed({ ...place, seed: 5, zone: 'UTC', startMs, startPct: SHED_START_PCT });
const timing = { nowMs: () => performance.now(), after: realTimers.after };
const options = { make: '701', unit: 1, base: 40_000, ratedWh: shedFacts(place).pack.ratedWh } as const;

for (let i = 0; i < Number(count); i++) {
  const cable = ptyCable(join(folder, `port-${i}`), baud, timing);
  const device = createDevice(plant, () => plant.step(Date.now()), options);
  const answer = (pdu: Uint8Array) => device.answer(pdu);
  cable.hear(send => rtuSide({ unit: 1, baud, timing, answer }, frame => send(frame, false)));
}
console.log('ready');
process.stdin.resume().once('end', () => process.exit());
