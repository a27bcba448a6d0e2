/** A station that is read without trouble, and a log that nobody reads. */
import type { Log } from '../../agent/log/log.ts';
import type { StationStatus } from '../../agent/stations/index.ts';

const nothing = () => undefined;

export const silentLog: Log = {
  error: nothing,
  warn: nothing,
  info: nothing,
  debug: nothing,
  dropped: () => 0,
  close: nothing,
};

export const LIVE_SHED: StationStatus = {
  station: 'shed',
  phase: 'live',
  attempt: 0,
  attemptsAllowed: 0,
  nextTryInMs: null,
  staleAfterMs: null,
  link: 'shed',
  accepted: 0,
  rejected: {},
};
