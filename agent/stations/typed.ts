/**
 * A station without a cable: the owner types what its screen shows, now and then. Its readings are marked `typed` and
 * never grow stale by silence; their age is shown instead.
 */
import type { DecodedReading } from '#kit';
import type { StationStatus, StationSurroundings } from './station.ts';

export interface TypedStation {
  type(reading: DecodedReading): void;
  status(): StationStatus;
}

export function createTyped(
  station: string,
  { clock, newSessionId, onReading }: Pick<StationSurroundings, 'clock' | 'newSessionId' | 'onReading'>,
): TypedStation {
  const session = newSessionId();
  let seq = 0;
  return {
    type(reading) {
      seq += 1;
      onReading({ station, session, seq, monoMs: clock.monoMs(), ...reading, typed: true });
    },
    status: () => ({
      station,
      phase: 'typed',
      attempt: 0,
      attemptsAllowed: 0,
      nextTryInMs: null,
      staleAfterMs: null,
      link: '',
      accepted: seq,
      rejected: {},
    }),
  };
}
