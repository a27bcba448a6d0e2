/** How the parts of a composite station stand, and the one status that follows from them. Pure. */
import type { QuantityName, RejectionCause } from '#kit';
import { staleAfter } from './lifecycle.ts';
import type { RejectionCounts } from './runner.ts';
import type { StationStatus } from './station.ts';

export interface PartStatus {
  /** As the owner calls it. */
  name: string;
  gives: QuantityName[];
  /** What it gives is not known now. */
  missing: boolean;
  phase: StationStatus['phase'];
  failure?: string;
  detail?: string;
  link: string;
  /** Since its last reading; null: none yet. */
  ageMs: number | null;
}

export interface PartNow {
  readonly name: string;
  readonly gives: readonly QuantityName[];
  readonly missing: boolean;
  readonly ageMs: number | null;
  readonly status: StationStatus;
}

/** The first that fits is the composite's, where no part is being read. */
const ORDER = [
  'released',
  'away',
  'connecting',
  'waiting',
  'stale',
  'retrying',
  'parked',
  'typed',
] as const satisfies readonly StationStatus['phase'][];

const partStatus = ({ name, gives, missing, ageMs, status }: PartNow): PartStatus => ({
  name,
  gives: [...gives],
  missing,
  phase: status.phase,
  ...(status.failure === undefined ? {} : { failure: status.failure }),
  ...(status.detail === undefined ? {} : { detail: status.detail }),
  link: status.link,
  ageMs,
});

function addUp(parts: readonly PartNow[]): RejectionCounts {
  const sum: RejectionCounts = {};
  for (const { status } of parts) {
    for (const [cause, count] of Object.entries(status.rejected) as [RejectionCause, number][]) {
      sum[cause] = (sum[cause] ?? 0) + count;
    }
  }
  return sum;
}

/**
 * @param intervalMs between readings of the composite
 * @param accepted readings of the composite
 */
export function compositeStatus(
  station: string,
  parts: readonly PartNow[],
  intervalMs: number,
  accepted: number,
): StationStatus {
  const linked = parts.filter(({ status }) => status.phase !== 'typed');
  const isLive = linked.some(({ status }) => status.phase === 'live');
  const phase = ORDER.find(one => (linked.length === 0 ? parts : linked).some(({ status }) => status.phase === one));
  const { failure, detail, attempt, attemptsAllowed, nextTryInMs } =
    linked.find(({ status }) => status.phase === phase)?.status ?? parts[0]!.status;
  const trouble = {
    ...(failure === undefined ? {} : { failure }),
    ...(detail === undefined ? {} : { detail }),
    attempt,
    attemptsAllowed,
    nextTryInMs,
  };
  return {
    station,
    phase: isLive ? 'live' : (phase ?? 'connecting'),
    // While one part is read, what another lacks is told of that part.
    ...(isLive ? { attempt: 0, attemptsAllowed: 0, nextTryInMs: null } : trouble),
    staleAfterMs: linked.length === 0 ? null : staleAfter(intervalMs),
    link: linked.map(({ status }) => status.link).join(', '),
    accepted,
    rejected: addUp(parts),
    parts: parts.map(partStatus),
  };
}
