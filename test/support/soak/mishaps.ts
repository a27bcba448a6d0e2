/** What goes wrong in a season and when: one thing at a time, drawn from a seed. Rates are made up, and high. */

export type Mishap =
  /** A station's cable comes loose for so long. */
  | { readonly what: 'cable'; readonly of: 0 | 1; readonly forMs: number }
  /** The agent ends and is started again after so long. */
  | { readonly what: 'restart'; readonly afterMs: number }
  /** The computer sleeps: nothing runs, and the monotonic clock stands. */
  | { readonly what: 'sleep'; readonly forMs: number }
  /** The computer's wall clock is moved by so much at once. */
  | { readonly what: 'step'; readonly byMs: number }
  /** It runs off or is led back, by so many parts in a million. */
  | { readonly what: 'slew'; readonly ppm: number };

const [MINUTE_MS, HOUR_MS, DAY_MS] = [60_000, 3_600_000, 86_400_000];
/** What time servers slew by at most (common practice, 500 ppm). */
const SLEW_PPM = 500;
const SLEW_FOR_MS = HOUR_MS;
/** Put back by an hour, and put right after this long. */
const WRONG_FOR_MS = 20 * MINUTE_MS;

/** Times a day. Each cable that comes loose is a call rightly made. */
const PER_DAY = { cable: 0.15, restart: 0.15, sleep: 0.12, back: 0.07, ahead: 0.05, slew: 0.5 } as const;

/** @param everyMs how often it is asked @returns what happens at this moment of true time, or null */
export function mishaps(random: () => number, everyMs: number): (trueMs: number) => Mishap | null {
  const later: { atMs: number; mishap: Mishap }[] = [];
  const plan = (atMs: number, mishap: Mishap) => later.push({ atMs, mishap });
  const between = (from: number, to: number) => from + random() * (to - from);
  // The plant's steps end on whole multiples, and what it shows is the mean of a whole step only if it is read there.
  const whole = (ms: number) => everyMs * Math.ceil(ms / everyMs);
  const drawn = (trueMs: number): Mishap | null => {
    let chance = (random() * DAY_MS) / everyMs;
    const falls = (kind: keyof typeof PER_DAY) => {
      chance -= PER_DAY[kind];
      return chance < 0;
    };
    if (falls('cable'))
      return { what: 'cable', of: random() < 0.5 ? 0 : 1, forMs: Math.round(between(0.5, 240) * MINUTE_MS) };
    if (falls('restart')) return { what: 'restart', afterMs: whole(between(0, 3 * MINUTE_MS)) };
    if (falls('sleep')) return { what: 'sleep', forMs: whole(between(0.5, 8) * HOUR_MS) };
    if (falls('back')) {
      plan(trueMs + WRONG_FOR_MS, { what: 'step', byMs: HOUR_MS });
      return { what: 'step', byMs: -HOUR_MS };
    }
    if (falls('ahead')) {
      // Ahead of the record's clock for a while: then true time catches up with it.
      plan(trueMs + WRONG_FOR_MS, { what: 'step', byMs: -MINUTE_MS });
      return { what: 'step', byMs: MINUTE_MS };
    }
    if (falls('slew')) {
      plan(trueMs + SLEW_FOR_MS, { what: 'slew', ppm: -SLEW_PPM });
      plan(trueMs + 2 * SLEW_FOR_MS, { what: 'slew', ppm: 0 });
      return { what: 'slew', ppm: SLEW_PPM };
    }
    return null;
  };
  return trueMs => {
    const due = later[0];
    if (due === undefined) return drawn(trueMs);
    if (trueMs < due.atMs) return null;
    later.shift();
    return due.mishap;
  };
}
