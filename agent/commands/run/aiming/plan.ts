/** The day's best round of the known spots, as the page reads it. */
import type { AimAnswer } from '#messages';
import type { Evidence } from './evidence.ts';
import type { KeptAim } from './kept.ts';

/** null where there are not two spots of which enough is known, or one does as well all day. */
export function planTold(_kept: KeptAim, _evidence: Evidence, _dayEndsMs: number, _nowMs: number): AimAnswer['plan'] {
  return null;
}
