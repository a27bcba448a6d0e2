/**
 * Whether the values of a station stand still while readings keep coming: a display or a program that hangs goes on
 * answering. It may as well be a steady load in coarse digits, so this is said as a doubt and changes no figure. A
 * station at rest, values that were typed, and silence are other things.
 */
import type { Quantities, Reading } from '#kit';

const AT_LEAST_MS = 5 * 60_000;
/** A station that stood still so long and moved again is known to do so; longer than this is never taken for usual. */
const AT_MOST_MS = 60 * 60_000;
/** Without a reading for so long nobody knows what it told meanwhile. */
const PAUSE_MS = 60_000;
/** A flow above this wavers by itself; below it may be a meter's own noise. Own judgement, no source. */
const FLOWS_W = 5;

type Watched = Pick<Reading, 'session' | 'quantities' | 'states' | 'typed'>;

export interface Unchanged {
  /** @param monoMs when it was read */
  take(reading: Watched, monoMs: number): void;
  /** For how long nothing has changed, where that is odd; else null. */
  forMs(): number | null;
}

export function createUnchanged(): Unchanged {
  let last: Watched | null = null;
  let [sinceMs, lastMs, usualMs] = [0, 0, AT_LEAST_MS];

  return {
    take(reading, monoMs) {
      const before = last;
      const isSame = before !== null && before.session === reading.session && monoMs - lastMs <= PAUSE_MS;
      if (isSame && !equal(before, reading)) usualMs = Math.max(usualMs, Math.min(AT_MOST_MS, lastMs - sinceMs));
      if (!isSame || !equal(before, reading)) sinceMs = monoMs;
      last = reading;
      lastMs = monoMs;
    },
    forMs() {
      const stoodMs = lastMs - sinceMs;
      return last !== null && stoodMs >= usualMs && last.typed !== true && flows(last.quantities) ? stoodMs : null;
    },
  };
}

const same = (a: Readonly<Record<string, unknown>>, b: Readonly<Record<string, unknown>>): boolean => {
  const keys = Object.keys(a);
  return keys.length === Object.keys(b).length && keys.every(key => Object.hasOwn(b, key) && a[key] === b[key]);
};
const equal = (a: Watched, b: Watched): boolean =>
  same(a.quantities, b.quantities) && same({ ...a.states }, { ...b.states });

/** Through its ports, or where it tells none through its battery. */
function flows(quantities: Quantities): boolean {
  const { batteryPowerW, ...rest } = quantities;
  const ports = Object.entries(rest).filter(([key, value]) => /PowerW(\.|$)/.test(key) && value != null);
  const powers = ports.length > 0 ? ports.map(([, value]) => value!) : [batteryPowerW ?? 0];
  return powers.some(powerW => Math.abs(powerW) > FLOWS_W);
}
