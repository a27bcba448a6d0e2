import { describe, expect, it } from 'vitest';
import { type DecodedReading, isRejection, type Rejection, STREAM } from '#kit';
import { lines } from '../../protocol-adapters/lines/index.ts';
import { countsOf } from '../../simulators/wire/counts.ts';
import { encodeLine, MAX_LINE_BYTES } from '../../simulators/wire/lines.ts';
import { DAY_MS, MIDNIGHT, shedAt } from './shed.ts';

/** Two days of lines, every ten minutes, with mains coming on at the end of the first. */
function recorded() {
  const plant = shedAt(MIDNIGHT - DAY_MS, 12);
  const bytes: Uint8Array[] = [];
  for (let ms = MIDNIGHT - DAY_MS; ms < MIDNIGHT + DAY_MS; ms += 600_000) {
    if (ms === MIDNIGHT) plant.setMains(true);
    plant.step(ms, 20_000);
    bytes.push(encodeLine(plant.sample()));
  }
  return bytes;
}

describe('a line of the simulator', () => {
  const sent = recorded();

  it('is one line of text within the protocol’s length', () => {
    for (const bytes of sent) {
      expect(bytes.length).toBeLessThan(MAX_LINE_BYTES);
      expect(bytes.indexOf(10)).toBe(bytes.length - 1);
    }
  });

  it('is read whole by the adapter, with nothing doubted', () => {
    const session = lines.open();
    const framer = session.createFramer(STREAM);
    const read: (DecodedReading | Rejection)[] = [];
    const refused: string[] = [];
    for (const bytes of sent) {
      framer.push(
        bytes,
        frame => read.push(session.decode(frame, STREAM)),
        cause => refused.push(cause),
      );
    }
    expect(refused).toEqual([]);
    expect(read).toHaveLength(sent.length);
    for (const [k, reading] of read.entries()) {
      if (isRejection(reading)) throw new Error(reading.detail);
      const { states, ...quantities } = JSON.parse(new TextDecoder().decode(sent[k]));
      expect(reading.quantities).toMatchObject(quantities);
      expect(reading.states).toEqual(states);
      expect(reading.quality).toBe('good');
      const reasons = Object.keys(reading.reasons).filter(name => reading.quantities[name as 'inputPowerW'] !== null);
      expect(reasons).toEqual([]);
    }
  });

  it('holds its own counts where it keeps any, in whole steps that go on with the plant', () => {
    const plant = shedAt(MIDNIGHT + DAY_MS / 2, 60);
    const counts = [0, 1, 2].map(hour => {
      plant.step(MIDNIGHT + DAY_MS / 2 + hour * 3_600_000, 20_000);
      const line = encodeLine(plant.sample(), countsOf(plant.ledger, 10));
      return JSON.parse(new TextDecoder().decode(line)) as { solarEnergyWh: number; outputEnergyWh: number };
    });
    for (const { solarEnergyWh, outputEnergyWh } of counts)
      expect([solarEnergyWh % 10, outputEnergyWh % 10]).toEqual([0, 0]);
    expect(counts[2]!.solarEnergyWh).toBeGreaterThan(counts[0]!.solarEnergyWh);
    const { solarWh, outputWh } = plant.ledger.total();
    expect(solarWh - counts[2]!.solarEnergyWh).toBeLessThan(10);
    expect(outputWh - counts[2]!.outputEnergyWh).toBeLessThan(10);
    expect(sent.every(bytes => !new TextDecoder().decode(bytes).includes('EnergyWh'))).toBe(true);
  });
});
