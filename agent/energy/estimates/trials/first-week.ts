/**
 * The first week: which trials are worth their time while a station can still be given back, in order, each with its
 * date. Nothing is judged before one full charge: a gauge may be wrong until it has seen full. Civil dates YYYY-MM-DD.
 */
import type { TrialKind } from './asked.ts';

export type FirstWeekDo = 'fullCharge' | Exclude<TrialKind, 'twoSets'> | 'decide';

export interface FirstWeekAsked {
  readonly firstSeen: string;
  readonly today: string;
  /** Last day to give it back; null where not told: a week from the first day. */
  readonly returnBy: string | null;
  /** Date of the first full charge; null: not yet. */
  readonly fullyCharged: string | null;
  readonly hasPanels: boolean;
  readonly tellsBattery: boolean;
  /** Trials of this station that were judged, or run. */
  readonly trials: readonly {
    readonly id: string;
    readonly kind: TrialKind;
    readonly state: 'running' | 'done';
    /** On which it was begun. */
    readonly date: string;
  }[];
}

export interface FirstWeekStep {
  readonly do: FirstWeekDo;
  readonly date: string;
  readonly hours: readonly [number, number];
  readonly state: 'open' | 'running' | 'done' | 'late';
  readonly trial: string | null;
}

export interface FirstWeek {
  readonly returnBy: string;
  readonly steps: readonly FirstWeekStep[];
  /** Too little time for these. */
  readonly leftOut: readonly TrialKind[];
}

const DAY_MS = 86_400_000;
const WEEK_DAYS = 7;
const dayOf = (date: string): number => Math.round(Date.parse(`${date}T00:00:00Z`) / DAY_MS);
const dateOf = (day: number): string => new Date(day * DAY_MS).toISOString().slice(0, 10);

interface Wanted {
  readonly kind: FirstWeekStep['do'] & TrialKind;
  /** Days after the full charge, at the earliest. */
  readonly after: number;
  readonly hours: readonly [number, number];
}

/** What tells most of a station first; a charge follows a discharge, which leaves it empty. */
const ORDER: readonly Wanted[] = [
  { kind: 'usable', after: 1, hours: [3, 12] },
  { kind: 'charge', after: 2, hours: [1, 8] },
  { kind: 'ownDraw', after: 3, hours: [5, 12] },
  { kind: 'solar', after: 3, hours: [6, 15] },
  { kind: 'converter', after: 4, hours: [1, 3] },
];

/** The plan as of today: what is late moves to today, the decision a day before the last one stays. */
export function firstWeek(asked: FirstWeekAsked): FirstWeek {
  const start = dayOf(asked.firstSeen);
  const today = dayOf(asked.today);
  const returnBy = asked.returnBy === null ? start + WEEK_DAYS : dayOf(asked.returnBy);
  const decide = Math.max(start, returnBy - 1);
  const charged = asked.fullyCharged === null ? null : dayOf(asked.fullyCharged);
  const chargeDay = charged ?? Math.max(start, today);
  const steps: FirstWeekStep[] = [
    {
      do: 'fullCharge',
      date: dateOf(chargeDay),
      hours: [1, 8],
      state: charged !== null ? 'done' : today > start + 1 ? 'late' : 'open',
      trial: null,
    },
  ];
  const leftOut: TrialKind[] = [];
  const wanted = ORDER.filter(
    w => (w.kind !== 'solar' || asked.hasPanels) && (w.kind !== 'converter' || asked.tellsBattery),
  );
  // Each a day later than the one before, but for those that go beside each other.
  let next = chargeDay + 1;
  for (const of of wanted) {
    const trial = asked.trials.filter(t => t.kind === of.kind).sort((a, b) => rank(a.state) - rank(b.state))[0];
    if (trial !== undefined) {
      steps.push({
        do: of.kind,
        date: trial.date,
        hours: of.hours,
        state: trial.state,
        trial: trial.id,
      });
      continue;
    }
    const day = Math.max(next, today);
    if (day > decide) {
      leftOut.push(of.kind);
      continue;
    }
    const late = today > chargeDay + of.after;
    steps.push({ do: of.kind, date: dateOf(day), hours: of.hours, state: late ? 'late' : 'open', trial: null });
    // A day of sun goes beside anything.
    next = of.kind === 'solar' ? next : day + 1;
  }
  steps.push({
    do: 'decide',
    date: dateOf(decide),
    hours: [0, 1],
    state: today > decide ? 'late' : 'open',
    trial: null,
  });
  // What was done by the day it was done on, what is to come by the day it is due; the decision ends it.
  steps.sort((a, b) => Number(a.do === 'decide') - Number(b.do === 'decide') || a.date.localeCompare(b.date));
  return { returnBy: dateOf(returnBy), steps, leftOut };
}

const rank = (state: 'running' | 'done'): number => (state === 'done' ? 0 : 1);
