/** Readings of every kind for property tests: one station, in order of time, values at their quantity's step. */
import fc from 'fast-check';
import { MAX_PORT, QUANTITIES, type QuantityKey, type QuantityRow, quantityRow, type Reading } from '#kit';

const KEYS: readonly QuantityKey[] = Object.entries(QUANTITIES as Record<string, QuantityRow>).flatMap(([name, row]) =>
  row.perPort === true ? [name, `${name}.1`, `${name}.${MAX_PORT}`] : [name],
) as QuantityKey[];

/** A value of a quantity as it is stored: a whole number of steps. */
const storedValue = (key: QuantityKey) => {
  const { min, max, step } = quantityRow(key)!;
  const perUnit = Math.round(1 / step);
  return fc.integer({ min: Math.ceil(min * perUnit), max: Math.floor(max * perUnit) }).map(n => n / perUnit);
};

const quantities = fc
  .shuffledSubarray([...KEYS], { maxLength: 10 })
  .chain(keys =>
    fc.tuple(...keys.map(key => fc.tuple(fc.constant(key), fc.option(storedValue(key), { nil: null, freq: 5 })))),
  )
  .map(pairs => Object.fromEntries(pairs) as Reading['quantities']);

const tri = fc.constantFrom(true as const, false as const, 'unknown' as const);
const states = fc.record(
  {
    acOutletsOn: tri,
    dcOutletsOn: tri,
    onMains: tri,
    inputSource: fc.constantFrom('sun', 'wall', 'vehicle', 'generator', 'unknown'),
    inputLimitedBy: fc.constantFrom('nothing', 'full', 'port', 'cold', 'owner', 'unknown'),
    fault: fc.string({ maxLength: 80, unit: 'binary' }).filter(text => text.length <= 80),
  },
  { requiredKeys: [] },
);

const step = fc.record({
  quantities,
  states,
  quality: fc.constantFrom('good', 'uncertain', 'bad'),
  clock: fc.constantFrom('synced', 'stepped', 'unknown'),
  typed: fc.boolean(),
  /** Where the clock was put right in between: how long it really was. */
  ranMs: fc.option(fc.integer({ min: 0, max: 4000 }), { nil: null, freq: 1 }),
  laterMs: fc.oneof(fc.integer({ min: 0, max: 2000 }), fc.integer({ min: 0, max: 7_200_000 })),
  newSession: fc.integer({ min: 0, max: 9 }).map(n => n === 0),
});

/** At least one reading, in order of (session, seq) and of time. */
export const anyReadings: fc.Arbitrary<Reading[]> = fc
  .tuple(fc.integer({ min: 0, max: 4e12 }), fc.array(step, { minLength: 1, maxLength: 40 }))
  .map(([startAt, steps]) => {
    let [at, monoMs, session, seq] = [startAt, 0, 0, 0];
    return steps.map((made, index): Reading => {
      at += made.laterMs;
      monoMs += made.ranMs ?? made.laterMs;
      if (made.newSession && index > 0) [session, seq] = [session + 1, 0];
      seq += 1;
      const reasons: Reading['reasons'] = {};
      for (const [key, value] of Object.entries(made.quantities)) {
        if (value === null) reasons[key as QuantityKey] = 'notAvailable';
      }
      const { quantities, states, quality, clock } = made;
      const identity = { station: 'shed', session: `s${session}`, seq, monoMs, at };
      const reading: Reading = { ...identity, clock, quantities, states, quality, reasons };
      return made.typed ? { ...reading, typed: true } : reading;
    });
  });
