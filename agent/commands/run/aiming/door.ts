/**
 * The door through which pages ask about aiming and change it. The answer about spots and pointing is made at most once
 * a minute and station; what is heavy is loaded when it is first asked for, learned beside all else, and told as far as
 * it has come.
 */
import type { Clock, Timers } from '#kit';
import type { AimAnswer, RecordQueries } from '#messages';
import type { AimDoor } from '../../../server/deps.ts';
import type { Aims } from './aims.ts';
import type { Evidence } from './evidence.ts';

const MINUTE_MS = 60_000;
/** A first look over a long record is not waited for longer than this. */
const WAITS_MS = 2_000;

export interface DoorParts {
  readonly record: Pick<RecordQueries, 'series'>;
  readonly clock: Pick<Clock, 'nowMs'>;
  readonly timers: Timers;
  readonly carries: boolean;
}

interface Asked {
  readonly evidence: Evidence;
  made: { minute: number; version: number; whole: boolean; answer: AimAnswer } | null;
}

export function aimDoor(aims: Aims, parts: DoorParts): AimDoor {
  const { record, clock, timers } = parts;
  const asked = new Map<string, Asked>();
  const giveWay = () => new Promise<void>(done => void timers.after(0, done));

  return {
    current: aims.current,
    mark: aims.mark,
    changeMarks: aims.changeMarks,
    changeSpots: aims.changeSpots,
    async answer(station) {
      const { answerNow, createEvidence, learningOf } = await import('./answer.ts');
      const desk = aims.desk(station);
      const one = asked.get(station) ?? { evidence: createEvidence(record, giveWay), made: null };
      asked.set(station, one);
      const nowMs = clock.nowMs();
      const minute = Math.floor(nowMs / MINUTE_MS);
      const version = desk.kept.version();
      const { made } = one;
      if (made?.whole === true && made.minute === minute && made.version === version) return made.answer;
      const whole = await within(timers, WAITS_MS, one.evidence.learn(learningOf(desk, nowMs)));
      const answer = answerNow(desk, one.evidence, clock.nowMs(), parts.carries);
      one.made = { minute, version, whole, answer };
      return answer;
    },
  };
}

/** Whether a promise is kept in time; where it breaks its error is thrown. */
async function within(timers: Timers, ms: number, promise: Promise<void>): Promise<boolean> {
  let cancel: () => void = () => undefined;
  const late = new Promise<boolean>(resolve => {
    cancel = timers.after(ms, () => resolve(false));
  });
  try {
    return await Promise.race([promise.then(() => true), late]);
  } finally {
    cancel();
    // What comes after the answer is told by the next one.
    promise.catch(() => undefined);
  }
}
