/**
 * A station's own running totals, followed as a second ledger beside what is integrated here; the two are never added.
 * A step belongs to its day or days; one over a gap is a bridged block of that gap, never spread over hours; one whose
 * size cannot be known is told and adds nothing. Energies whole mJ, counter values whole mWh, instants UTC epoch ms.
 */
import { gapLimitMs, pairEnergyMilliJ } from '#energy/integrate';
import { COUNTER_NAMES, type CounterName, QUANTITIES, type QuantityName, type Reading } from '#kit';
import type { CounterEnd, CountersTold } from './counted.ts';
import { asMilliWh, type Held, held, stepWith } from './counter.ts';
import { type Counter, take, tellEnd } from './counter-steps.ts';
import { createDayFinder } from './day-shares.ts';
import { panelsRatedW, type StationFacts } from './facts.ts';

export interface Counters {
  /**
   * Adds one reading; readings come in record order.
   *
   * @param solarW watts known to be from the sun, or null
   */
  add(reading: Reading, solarW: number | null, facts: StationFacts): CountersTold;
}

/** The power that each of them adds up. */
const POWER_OF = {
  solarEnergyWh: 'solarPowerW',
  inputEnergyWh: 'inputPowerW',
  chargerEnergyWh: 'chargerPowerW',
  outputEnergyWh: 'outputPowerW',
  meterEnergyWh: 'meterPowerW',
} as const satisfies Record<CounterName, QuantityName>;

const HOUR_MS = 3_600_000;
/** Panels may have been added without a word (common practice, no source). */
const PANELS_MARGIN = 2;

interface Seen {
  at: number;
  monoMs: number;
  session: string;
  good: boolean;
  powerW(name: CounterName): number | null;
  /** Its power is told as a rule, and missing now. */
  lacks(name: CounterName): boolean;
}

const seen = (reading: Reading, solarW: number | null): Seen => ({
  at: reading.at,
  monoMs: reading.monoMs,
  session: reading.session,
  good: reading.quality !== 'bad',
  powerW: name => (name === 'solarEnergyWh' ? solarW : (reading.quantities[POWER_OF[name]] ?? null)),
  lacks(name) {
    const key = POWER_OF[name];
    return reading.quantities[key] === null && reading.reasons[key] !== 'notGiven';
  },
});

const unseen = (at: number): Seen => ({
  at,
  monoMs: 0,
  session: '',
  good: false,
  powerW: () => null,
  lacks: () => false,
});

/** The most that can pass there, W: what the solar ports take, else what the panels can give; else a wide bound. */
function mostOf(name: CounterName, facts: StationFacts): number {
  if (name !== 'solarEnergyWh') return QUANTITIES.inputPowerW.max;
  const panelsW = panelsRatedW(facts);
  return facts.solarMaxW ?? (panelsW === null ? QUANTITIES.solarPowerW.max : PANELS_MARGIN * panelsW);
}

/** Lets the time between two readings pass for a counter. */
function pass(counter: Held, name: CounterName, before: Seen, now: Seen, limitMs: number): void {
  const within = before.session === now.session;
  const ranMs = Math.max(0, within ? now.monoMs - before.monoMs : now.at - before.at);
  const unbroken = within && ranMs <= limitMs && before.good && now.good;
  counter.sinceMs += ranMs;
  counter.unchangedMs += ranMs;
  if (!unbroken || before.lacks(name) || now.lacks(name)) counter.gapMs += ranMs;
  const [fromW, toW] = [before.powerW(name), now.powerW(name)];
  // As the tally does: energy is of the time that was lived through, whatever the clock says of it.
  const livedMs = Math.round(ranMs);
  const milliJ = unbroken ? pairEnergyMilliJ(fromW, toW, livedMs) : null;
  if (milliJ === null) {
    counter.compared = false;
    return;
  }
  counter.integratedMilliJ += milliJ;
  if (fromW !== 0 || toW !== 0) counter.flowMs += livedMs;
  // One step somewhere between two readings: its moment is uniform, so the energy is off by this much, squared.
  counter.spreadWh2 += (((toW ?? 0) - (fromW ?? 0)) * (livedMs / HOUR_MS)) ** 2 / 12;
}

/**
 * @param ends where the counters of the record stand
 * @param resumeAt instant of the last reading on record; what follows it is a gap
 */
export function createCounters(ends: readonly CounterEnd[], resumeAt: number | null): Counters {
  const dayOf = createDayFinder();
  const counters = new Map<CounterName, Counter>();
  let last: Seen | null = resumeAt === null ? null : unseen(resumeAt);
  for (const end of ends) {
    const known = held(end.lastMilliWh, end.lastAt, end.stepMilliWh);
    known.sinceMs = Math.max(0, (resumeAt ?? end.lastAt) - end.lastAt);
    known.unchangedMs = end.unchangedMs + known.sinceMs;
    // What was recorded since without the counter may have holes that older rows fill: no day is given a step over it.
    known.gapMs = known.sinceMs;
    known.compared = false;
    counters.set(end.quantity, { held: known, doubt: null, open: false });
  }

  return {
    add(reading, solarW, facts) {
      const told: CountersTold = { counted: [], bridges: [] };
      const now = seen(reading, solarW);
      const before = last;
      last = now;
      const limitMs = gapLimitMs(facts.intervalMs);
      for (const name of COUNTER_NAMES) {
        const counter = counters.get(name);
        if (counter !== undefined && before !== null) {
          pass(counter.held, name, before, now, limitMs);
          if (counter.doubt !== null) pass(counter.doubt.held, name, before, now, limitMs);
        }
        const value = now.good ? reading.quantities[name] : null;
        if (typeof value !== 'number') continue;
        const valueMilliWh = asMilliWh(value);
        const day = (at: number) => dayOf(at, facts.zone);
        const teller = { name, told, limitMs, day };
        if (counter === undefined) {
          const first = held(valueMilliWh, now.at, stepWith(0, valueMilliWh));
          counters.set(name, { held: first, doubt: null, open: false });
          tellEnd(teller, first);
        } else
          take(teller, counter, valueMilliWh, now.at, {
            mostW: mostOf(name, facts),
            steps: facts.counterSteps ?? null,
          });
      }
      return told;
    },
  };
}
