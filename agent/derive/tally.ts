/**
 * Readings to day totals: one running state a station. Energy grows only over pairs of good readings of one session no
 * further apart than the gap limit; every other stretch is a gap. Covered + gap = elapsed, always. While a station says
 * one of its two powers and not the other, as when a part of it is gone, what it says is counted and the time is a gap.
 */
import type { CivilDay } from '#energy/civil-day';
import { gapLimitMs, pairEnergyMilliJ } from '#energy/integrate';
import type { Reading } from '#kit';
import { createDayFinder, dayShares } from './day-shares.ts';
import { lacksPower } from './known-now.ts';

/** What a reading adds to one civil day. Energies in mJ, powers in W, spans in ms. */
export interface DayAddition {
  date: string;
  zone: string;
  startMs: number;
  endMs: number;
  solarMilliJ: number;
  inputMilliJ: number;
  outputMilliJ: number;
  coveredMs: number;
  gapMs: number;
  solarPeakW: number;
  stateOfChargeMinPct: number | null;
  stateOfChargeMaxPct: number | null;
}

export interface Gap {
  fromMs: number;
  toMs: number;
  /** The agent was not running, or it ran and nothing good came. */
  reason: 'agentDown' | 'noReading';
}

export interface Tallied {
  days: DayAddition[];
  gap: Gap | null;
  /** Energy of the pair, mJ; zero over a gap. */
  inputMilliJ: number;
  outputMilliJ: number;
}

export interface Tally {
  /**
   * Adds one reading; readings come in record order.
   *
   * @param solarW watts known to be from the sun, or null
   * @param zone IANA zone in force
   */
  add(reading: Reading, solarW: number | null, zone: string): Tallied;
}

interface Last {
  at: number;
  monoMs: number;
  session: string;
  good: boolean;
  solarW: number | null;
  inputW: number | null;
  outputW: number | null;
  /** It tells both powers as a rule, and one of them is missing now. */
  lacking: boolean;
}

/**
 * @param intervalMs the source's expected interval
 * @param resumeAt instant of the last reading on record; what follows it is a gap
 */
export function createTally(intervalMs: number, resumeAt: number | null): Tally {
  const limitMs = gapLimitMs(intervalMs);
  let last: Last | null =
    resumeAt === null
      ? null
      : {
          at: resumeAt,
          monoMs: 0,
          session: '',
          good: false,
          solarW: null,
          inputW: null,
          outputW: null,
          lacking: false,
        };
  const dayOf = createDayFinder();

  return {
    add(reading, solarW, zone) {
      const { quantities: q } = reading;
      const now: Last = {
        at: reading.at,
        monoMs: reading.monoMs,
        session: reading.session,
        good: reading.quality !== 'bad',
        solarW,
        inputW: q.inputPowerW ?? null,
        outputW: q.outputPowerW ?? null,
        lacking: lacksPower(reading),
      };
      const before = last;
      last = now;
      const stretch = before === null ? null : measure(before, now, limitMs);
      const days = stretch === null ? [] : spread(before!.at, now.at, stretch, at => dayOf(at, zone));
      mark(days, dayOf(now.at, zone), now, q.stateOfChargePct ?? null);
      return {
        days,
        gap:
          stretch === null || stretch.gapMs <= limitMs
            ? null
            : { fromMs: before!.at, toMs: now.at, reason: before!.session === '' ? 'agentDown' : 'noReading' },
        inputMilliJ: stretch?.inputMilliJ ?? 0,
        outputMilliJ: stretch?.outputMilliJ ?? 0,
      };
    },
  };
}

type Stretch = Pick<DayAddition, 'solarMilliJ' | 'inputMilliJ' | 'outputMilliJ' | 'coveredMs' | 'gapMs'>;

/** The stretch between two readings: told apart by the monotonic clock, laid out on the record's. */
function measure(before: Last, now: Last, limitMs: number): Stretch {
  const elapsedMs = now.at - before.at;
  const ranMs = before.session === now.session ? now.monoMs - before.monoMs : Number.POSITIVE_INFINITY;
  // Energy is of the time that was lived through, also while the record waits for a clock that was ahead.
  const livedMs = Math.round(ranMs);
  const inputMilliJ = pairEnergyMilliJ(before.inputW, now.inputW, livedMs);
  const outputMilliJ = pairEnergyMilliJ(before.outputW, now.outputW, livedMs);
  // A clock that was set forward leaves time nobody lived through: a gap, not covered.
  const coveredMs = Math.min(livedMs, elapsedMs);
  const unbroken = ranMs <= limitMs && before.good && now.good && (inputMilliJ !== null || outputMilliJ !== null);
  if (!unbroken) return { solarMilliJ: 0, inputMilliJ: 0, outputMilliJ: 0, coveredMs: 0, gapMs: elapsedMs };
  const wholeMs = before.lacking || now.lacking ? 0 : coveredMs;
  return {
    solarMilliJ: pairEnergyMilliJ(before.solarW, now.solarW, livedMs) ?? 0,
    inputMilliJ: inputMilliJ ?? 0,
    outputMilliJ: outputMilliJ ?? 0,
    coveredMs: wholeMs,
    gapMs: elapsedMs - wholeMs,
  };
}

/** Each name written out: it is made for every reading, and a spread takes ten times as long. */
const dayWith = (
  { date, zone, startMs, endMs }: CivilDay,
  { solarMilliJ, inputMilliJ, outputMilliJ, coveredMs, gapMs }: Stretch,
): DayAddition => ({
  date,
  zone,
  startMs,
  endMs,
  solarMilliJ,
  inputMilliJ,
  outputMilliJ,
  coveredMs,
  gapMs,
  solarPeakW: 0,
  stateOfChargeMinPct: null,
  stateOfChargeMaxPct: null,
});

const NOTHING: Stretch = { solarMilliJ: 0, inputMilliJ: 0, outputMilliJ: 0, coveredMs: 0, gapMs: 0 };

/** A day of which nothing is known yet. */
export const emptyDay = (day: CivilDay): DayAddition => dayWith(day, NOTHING);

/** A stretch that crosses midnight is shared in proportion to time; the shares add up exactly. */
function spread(fromMs: number, toMs: number, stretch: Stretch, dayOf: (at: number) => CivilDay): DayAddition[] {
  const first = dayOf(fromMs);
  if (toMs <= first.endMs) return [dayWith(first, stretch)];
  const { days, share } = dayShares(fromMs, toMs, dayOf);
  const shares = {
    solarMilliJ: share(stretch.solarMilliJ),
    inputMilliJ: share(stretch.inputMilliJ),
    outputMilliJ: share(stretch.outputMilliJ),
    coveredMs: share(stretch.coveredMs),
    gapMs: share(stretch.gapMs),
  };
  return days.map((day, i) =>
    dayWith(day, {
      solarMilliJ: shares.solarMilliJ[i]!,
      inputMilliJ: shares.inputMilliJ[i]!,
      outputMilliJ: shares.outputMilliJ[i]!,
      coveredMs: shares.coveredMs[i]!,
      gapMs: shares.gapMs[i]!,
    }),
  );
}

/** Notes the reading's peaks in its own day, adding that day where the stretch ended exactly at midnight. */
function mark(days: DayAddition[], day: CivilDay, now: Last, pct: number | null): void {
  let own = days.find(d => d.date === day.date);
  if (own === undefined) {
    own = emptyDay(day);
    days.push(own);
  }
  own.solarPeakW = now.solarW ?? 0;
  own.stateOfChargeMinPct = pct;
  own.stateOfChargeMaxPct = pct;
}
