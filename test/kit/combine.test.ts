import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { combineParts, type DecodedReading, NO_PARTS, type QuantityKey, withPart } from '#kit';

const part = (quantities: DecodedReading['quantities'], rest: Partial<DecodedReading> = {}): DecodedReading => ({
  quantities,
  states: {},
  quality: 'good',
  reasons: {},
  ...rest,
});
const HOLDS_MS = 1000;

describe('parts of a reading', () => {
  it('become one reading while each of them stands', () => {
    let parts = withPart(NO_PARTS, 'level', part({ stateOfChargePct: 81 }), 0, HOLDS_MS);
    parts = withPart(parts, 'power', part({ inputPowerW: 120 }, { states: { inputSource: 'sun' } }), 600, HOLDS_MS);
    expect(combineParts(parts, 999)).toEqual({
      quantities: { stateOfChargePct: 81, inputPowerW: 120 },
      states: { inputSource: 'sun' },
      quality: 'good',
      reasons: {},
    });
  });

  it('say "does not know" and "unknown" once their time is over, and never the last value again', () => {
    let parts = withPart(
      NO_PARTS,
      'level',
      part({ stateOfChargePct: 81 }, { states: { onMains: true, fault: 'too hot' } }),
      0,
      HOLDS_MS,
    );
    parts = withPart(parts, 'power', part({ inputPowerW: 120 }), 600, HOLDS_MS);
    expect(combineParts(parts, 1000)).toEqual({
      quantities: { stateOfChargePct: null, inputPowerW: 120 },
      states: { onMains: 'unknown' },
      quality: 'good',
      reasons: { stateOfChargePct: 'notAvailable' },
    });
    expect(combineParts(parts, 1e9)).toMatchObject({ quantities: { inputPowerW: null }, quality: 'bad' });
  });

  it('are replaced as a whole: what a newer one leaves out is gone', () => {
    let parts = withPart(NO_PARTS, 'a', part({ inputPowerW: 1 }, { states: { fault: 'too hot' } }), 0, HOLDS_MS);
    parts = withPart(parts, 'a', part({ outputPowerW: 2 }), 1, HOLDS_MS);
    expect(combineParts(parts, 2)).toEqual(part({ outputPowerW: 2 }));
  });

  it('let the later one count where two tell the same, and the living one where the other is over', () => {
    let parts = withPart(NO_PARTS, 'a', part({ inputPowerW: 1 }), 0, 5000);
    parts = withPart(parts, 'b', part({ inputPowerW: 2 }), 10, HOLDS_MS);
    expect(combineParts(parts, 20).quantities.inputPowerW).toBe(2);
    expect(combineParts(parts, 2000)).toEqual(part({ inputPowerW: 1 }));
  });

  it('keep a doubt while the doubted part stands; one without a usable value spoils no other', () => {
    let parts = withPart(NO_PARTS, 'a', part({ inputPowerW: 1 }, { quality: 'uncertain' }), 0, HOLDS_MS);
    parts = withPart(parts, 'b', part({ outputPowerW: 2 }), 500, HOLDS_MS);
    expect(combineParts(parts, 600).quality).toBe('uncertain');
    expect(combineParts(parts, 1200).quality).toBe('good');
    const bad = part({ batteryTempC: null }, { quality: 'bad', reasons: { batteryTempC: 'notAvailable' } });
    expect(combineParts(withPart(parts, 'c', bad, 1200, HOLDS_MS), 1250).quality).toBe('good');
  });

  it('never give a value that is older than its time, and give every one that is not', () => {
    const names = ['inputPowerW', 'outputPowerW', 'stateOfChargePct'] as const satisfies QuantityKey[];
    const events = fc.array(fc.record({ name: fc.constantFrom(...names), waitMs: fc.nat(900), value: fc.nat(100) }));
    fc.assert(
      fc.property(events, fc.nat(3000), (told, laterMs) => {
        let parts = NO_PARTS;
        let nowMs = 0;
        const last = new Map<string, { value: number; atMs: number }>();
        for (const { name, waitMs, value } of told) {
          nowMs += waitMs;
          parts = withPart(parts, name, part({ [name]: value }), nowMs, HOLDS_MS);
          last.set(name, { value, atMs: nowMs });
        }
        const { quantities } = combineParts(parts, nowMs + laterMs);
        for (const name of names) {
          const known = last.get(name);
          const wanted = known === undefined ? undefined : nowMs + laterMs - known.atMs < HOLDS_MS ? known.value : null;
          expect([name, quantities[name]]).toEqual([name, wanted]);
        }
      }),
    );
  });

  it('forget the oldest beyond thirty-two names', () => {
    let parts = NO_PARTS;
    for (let i = 0; i < 500; i++) parts = withPart(parts, `part ${i}`, part({ inputPowerW: i }), i, HOLDS_MS);
    expect(parts.size).toBe(32);
    expect(combineParts(parts, 500).quantities.inputPowerW).toBe(499);
  });
});
