/**
 * A station that is not being read because its adapter may not run yet: it waits for the owner, not for a cable, so
 * nothing is opened and nothing tried again.
 */
import type { StationStatus } from './station.ts';

export interface HeldPlan {
  readonly kind: 'held';
  readonly id: string;
  readonly link: string;
  /** Why, as the page has words for it; left out: it is being found out. */
  readonly failure?: string;
  readonly detail: string;
}

export const heldStatus = ({ id, link, failure, detail }: HeldPlan): StationStatus => ({
  station: id,
  phase: failure === undefined ? 'connecting' : 'parked',
  ...(failure === undefined ? {} : { failure }),
  ...(detail === '' ? {} : { detail }),
  attempt: 0,
  attemptsAllowed: 0,
  nextTryInMs: null,
  staleAfterMs: null,
  link,
  accepted: 0,
  rejected: {},
});

/** Two plans that say the same. */
export const sameHeld = (a: HeldPlan | undefined, b: HeldPlan): boolean =>
  a !== undefined && a.link === b.link && a.failure === b.failure && a.detail === b.detail;
