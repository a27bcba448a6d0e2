import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { countOn, NOTHING_COUNTED, quantityRow } from '#kit';
import { createCounters } from '../../agent/derive/counters.ts';
import type { StationFacts } from '../../agent/derive/facts.ts';
import { sunspecModbus } from '../../protocol-adapters/sunspec-modbus/index.ts';
import { drop, duplicate, type Fault, garble, late, seededRandom } from '../../simulators/faults.ts';
import { sunspecWords } from '../../simulators/wire/modbus/models.ts';
import { type LineOptions, modbusLine } from '../support/modbus-line.ts';

const FOLLOWED: StationFacts = {
  intervalMs: sunspecModbus.manifest.intervalMs,
  zone: 'UTC',
  ratedWh: null,
  floorPct: 0,
  ceilingPct: 100,
  lowCutoffPct: 0,
  inputSource: 'unknown',
  panels: [],
  solarMaxW: 400,
  place: null,
};

/** A device whose powers tell the time: a tenth of a watt each tenth of a second. */
const timeTelling = (monoMs: number): Uint16Array => {
  const watts = monoMs / 1000;
  const still = {
    solarV: 40,
    solarA: 1,
    wallW: 0,
    acOn: true,
    chargePct: 50,
    ratedWh: 1640,
    batteryV: 51,
    batteryA: 1,
  };
  const counts = { solarWh: 1, acOutputWh: 1, dcOutputWh: 1, wallWh: 1, heartbeat: Math.floor(watts) };
  return sunspecWords('701', 1, { ...still, ...counts, solarW: watts, acW: watts, dcW: watts });
};

/** How old the oldest value of each reading was when it was told, ms. */
function ages(options: LineOptions, forMs = 300_000): { ages: number[]; line: ReturnType<typeof modbusLine> } {
  const line = modbusLine({ ...options, words: timeTelling });
  line.clock.advance(forMs);
  const told = line.readings.flatMap(({ at, reading }) =>
    (['solarPowerW.1', 'acOutputPowerW', 'dcOutputPowerW'] as const).map(key => {
      const watts = reading.quantities[key];
      return watts === null || watts === undefined ? 0 : at - watts * 1000;
    }),
  );
  return { ages: told, line };
}

describe('a SunSpec adapter on a bad line', () => {
  it.each([1050, 1100, 1500, 2100, 2500, 3000, 5000])(
    'never takes a late reply for a due one: 1 in 5 comes after %d ms',
    lateMs => {
      const { ages: told, line } = ages({ faults: [late(seededRandom(1), 0.2, lateMs)] });
      expect(told.length).toBeGreaterThan(40);
      expect(Math.max(...told)).toBeLessThan(500);
      expect(line.rejected.unexpected).toBeGreaterThan(5);
      expect(line.rejected.unanswered).toBeGreaterThan(5);
    },
  );

  it('tells no value older than it may be, whatever the line does to replies', () => {
    const fault = fc.oneof(
      fc.record({ kind: fc.constant('late'), share: fc.double({ min: 0, max: 0.5, noNaN: true }), ms: fc.nat(6000) }),
      fc.record({ kind: fc.constant('drop'), share: fc.double({ min: 0, max: 0.4, noNaN: true }), ms: fc.constant(0) }),
      fc.record({ kind: fc.constant('copy'), share: fc.double({ min: 0, max: 1, noNaN: true }), ms: fc.constant(0) }),
      fc.record({
        kind: fc.constant('garble'),
        share: fc.double({ min: 0, max: 0.02, noNaN: true }),
        ms: fc.constant(0),
      }),
    );
    fc.assert(
      fc.property(
        fc.array(fault, { maxLength: 3 }),
        fc.nat(1e6),
        fc.constantFrom('rtu', 'tcp'),
        (list, seed, framing) => {
          const random = seededRandom(seed);
          const faults = list.map(({ kind, share, ms }): Fault => {
            if (kind === 'late') return late(random, share, ms);
            if (kind === 'drop') return drop(random, share);
            return kind === 'copy' ? duplicate(random, share) : garble(random, framing === 'rtu' ? share : 0);
          });
          const { ages: told, line } = ages({ framing, faults }, 60_000);
          // A reading takes at most its questions' own time limits, and those of the ones repeated.
          for (const age of told) expect(age).toBeLessThan(20_000);
          for (const age of told) expect(age).toBeGreaterThan(-60);
          expect(line.rejected.adapterError ?? 0).toBe(0);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('finds the reply behind garbage, and loses no reading to it', () => {
    const random = seededRandom(7);
    const noisy: Fault = piece => {
      const noise = Uint8Array.from({ length: 1 + Math.floor(random() * 12) }, () => Math.floor(random() * 256));
      return [{ ...piece, bytes: Uint8Array.of(...noise, ...piece.bytes) }];
    };
    const { line } = ages({ faults: [noisy] }, 120_000);
    expect(line.readings.length).toBeGreaterThan(50);
    expect(line.rejected.unanswered ?? 0).toBe(0);
    expect((line.rejected.malformed ?? 0) + (line.rejected.checksum ?? 0)).toBeGreaterThan(100);
  });

  it('is not led astray by a head of a long reply in the noise before a short one', () => {
    const misleading: Fault = piece => [{ ...piece, bytes: Uint8Array.of(0x01, 0x03, 0xfa, ...piece.bytes) }];
    const { line } = ages({ faults: [misleading] }, 60_000);
    expect(line.readings.length).toBeGreaterThan(20);
    expect(line.rejected.unanswered ?? 0).toBe(0);
  });

  it('counts what is garbled, and reads on', () => {
    const { line, ages: told } = ages({ faults: [garble(seededRandom(3), 0.001)] });
    expect(line.rejected.checksum).toBeGreaterThan(3);
    expect(line.readings.length).toBeGreaterThan(80);
    expect(Math.max(...told)).toBeLessThan(9000);
  });

  it('reads on where a cable comes back, and says so while it is out', () => {
    const { line } = ages({}, 20_000);
    line.pull(true);
    line.clock.advance(60_000);
    const before = line.readings.length;
    expect(line.rejected.unanswered).toBeGreaterThan(5);
    line.pull(false);
    line.clock.advance(30_000);
    expect(line.readings.length).toBeGreaterThan(before + 5);
  });

  it('takes no byte of a frame that nothing asked for', () => {
    const { line } = ages({}, 20_000);
    const before = line.readings.length;
    for (let i = 0; i < 20; i++) line.feed(Uint8Array.of(1, 3, 2, 0, 1, 0x79, 0x84));
    expect(line.readings.length).toBe(before);
    line.clock.advance(1000);
    expect(line.rejected.unexpected).toBeGreaterThan(10);
  });
});

describe('a SunSpec device that answers badly', () => {
  it.each(['rtu', 'tcp'] as const)('is told in words to refuse (%s), and read again once it does not', framing => {
    const { clock, device, details, rejected, readings } = modbusLine({ framing });
    clock.advance(10_000);
    device.refuse(4);
    clock.advance(6000);
    expect(rejected.refused).toBeGreaterThan(4);
    expect(details.some(detail => detail.startsWith('exception 4, fault of the device: model 701'))).toBe(true);
    const before = readings.length;
    device.refuse(null);
    clock.advance(10_000);
    expect(readings.length).toBeGreaterThan(before + 3);
  });

  it('that repeats the same old values is not believed any more', () => {
    const { clock, device, last } = modbusLine();
    clock.advance(20_000);
    expect(last()?.quality).toBe('good');
    device.freeze(true);
    clock.advance(20_000);
    expect(last()).toMatchObject({ quality: 'bad', states: { fault: 'its values stand still' } });
    device.freeze(false);
    clock.advance(6000);
    expect(last()?.quality).toBe('good');
  });

  it('keeps its counters as it has them: they begin again, or run over', () => {
    const { clock, device, readings } = modbusLine({ make: '103' });
    clock.advance(10_000);
    device.counters('wrap');
    clock.advance(60_000);
    const counts = readings.map(({ reading }) => reading.quantities.solarEnergyWh ?? null);
    const drops = counts.filter((count, i) => i > 0 && count !== null && count < (counts[i - 1] ?? 0));
    expect(Math.max(...counts.map(count => count ?? 0))).toBeGreaterThan(42_949_672);
    expect(drops).toHaveLength(1);
    for (const count of counts) if (count !== null) expect(count).toBeGreaterThanOrEqual(0);
    device.counters('reset');
    clock.advance(4000);
    expect(readings.at(-1)?.reading.quantities.solarEnergyWh).toBeLessThan(1);
  });

  it('has counters whose running over is counted and whose new beginning is not', () => {
    const { clock, device, plant, readings } = modbusLine({ make: '103' });
    const rules = { wrapWh: 2 ** 32 / 100, ratedPowerW: 400, stepWh: 0.01 };
    const countFrom = (first: number) =>
      readings
        .slice(first)
        .reduce(
          (sum, { at, reading }) => countOn(sum, reading.quantities.solarEnergyWh ?? null, at, rules),
          NOTHING_COUNTED,
        );
    clock.advance(6000);
    device.counters('wrap');
    clock.advance(2000);
    const first = readings.length - 1;
    const trueWh = plant.ledger.total().solarWh;
    clock.advance(60_000);
    const over = countFrom(first);
    expect(over.unknownMs).toBe(0);
    expect(Math.abs(over.totalWh - (plant.ledger.total().solarWh - trueWh))).toBeLessThan(0.3);
    device.counters('reset');
    clock.advance(8000);
    const anew = countFrom(first);
    expect(anew.unknownMs).toBeGreaterThan(0);
    expect(anew.totalWh).toBeGreaterThanOrEqual(over.totalWh);
    expect(anew.totalWh - over.totalWh).toBeLessThan(0.5);
  });

  it('is followed through running over by what its manifest says of its counters, and told of a new beginning', () => {
    const { clock, device, plant, readings } = modbusLine({ make: '103' });
    const facts = { ...FOLLOWED, counterSteps: sunspecModbus.manifest.counterSteps };
    const followed = (from: number) => {
      const counters = createCounters([], null);
      const all = readings.slice(from).map(({ at, reading }, i) => {
        const identity = { station: 'shed', session: 's1', seq: i + 1, monoMs: at, at, clock: 'synced' as const };
        return counters.add({ ...reading, ...identity }, reading.quantities.solarPowerW ?? null, facts);
      });
      const milliJ = all.flatMap(told => told.counted).filter(({ quantity }) => quantity === 'solarEnergyWh');
      return {
        countedWh: milliJ.reduce((sum, { countedMilliJ }) => sum + countedMilliJ, 0) / 3_600_000,
        causes: all.flatMap(told => told.bridges).flatMap(b => (b.quantity === 'solarEnergyWh' ? [b.cause] : [])),
      };
    };
    clock.advance(6000);
    device.counters('wrap');
    clock.advance(4000);
    const first = readings.length - 1;
    const trueWh = plant.ledger.total().solarWh;
    clock.advance(60_000);
    const over = followed(first);
    expect(over.causes).toEqual([]);
    expect(Math.abs(over.countedWh - (plant.ledger.total().solarWh - trueWh))).toBeLessThan(0.3);
    device.counters('reset');
    clock.advance(20_000);
    expect(followed(first).causes).toEqual(['reset']);
  });

  it('is left alone where it is no SunSpec device, with what was found in words', () => {
    const line = modbusLine({ words: () => new Uint16Array(200) });
    line.clock.advance(20_000);
    expect(line.readings).toEqual([]);
    expect(line.rejected.wrongProtocol).toBeGreaterThan(0);
    expect(line.details).toContain('unit 1 answers, and "SunS" stands nowhere at 40000, 50000, 0');
  });

  it('is told to answer as no unit where nobody is there', () => {
    const line = modbusLine();
    line.pull(true);
    line.clock.advance(60_000);
    expect(line.details.some(detail => detail.startsWith('nothing answers as unit 1, 126'))).toBe(true);
  });
});

describe('a SunSpec device with any registers at all', () => {
  const word = fc.oneof(fc.constantFrom(0, 1, 0x8000, 0xffff), fc.nat(0xffff));
  const model = fc.record({
    id: fc.oneof(fc.constantFrom(1, 101, 103, 160, 701, 713, 714, 802), fc.nat(0xffff)),
    length: fc.oneof(fc.nat(200), fc.constantFrom(0, 1, 7, 18, 62, 153, 600)),
    words: fc.array(word, { minLength: 1, maxLength: 40 }),
  });

  it('is read or told apart, without a throw and with nothing out of the table’s ranges', () => {
    fc.assert(
      fc.property(fc.array(model, { maxLength: 6 }), fc.boolean(), (models, ends) => {
        const body = models.flatMap(({ id, length, words }) => [
          id,
          length,
          ...Array.from({ length }, (_, i) => words[i % words.length]!),
        ]);
        const all = Uint16Array.from([0x5375, 0x6e53, ...body, ...(ends ? [0xffff, 0] : [])]);
        const line = modbusLine({ words: () => all });
        line.clock.advance(20_000);
        expect(line.rejected.adapterError ?? 0).toBe(0);
        for (const { reading } of line.readings) {
          for (const [key, value] of Object.entries(reading.quantities)) {
            const row = quantityRow(key)!;
            if (value !== null && !key.endsWith('EnergyWh')) expect(value).toBeLessThanOrEqual(16 * row.max);
          }
        }
      }),
      { numRuns: 60 },
    );
  });
});
