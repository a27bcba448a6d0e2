/**
 * Whether what is plugged in now was ever seen before: the mean of the last ten minutes against all ten-minute means of
 * the past. Something large plugged in, or off, makes the past a poor guide.
 */
import { type Past, recentLoadW } from './minutes.ts';

const SPAN_MIN = 10;
/** A past of less than this has not shown what belongs to it. */
const ENOUGH_MIN = 180;
/** Looked back at most; older weeks do not make a load familiar. */
const LOOK_BACK_MIN = 2 * 1440;
const MARGIN = 1.25;
const MARGIN_W = 20;

/** @returns minute since which it is unfamiliar, or null where it is known */
export function unfamiliarSince(past: Past): number | null {
  const { minutes, outputW, count } = past;
  if (count < ENOUGH_MIN) return null;
  const now = recentLoadW(past, SPAN_MIN);
  const from = Math.max(0, count - LOOK_BACK_MIN);
  let sum = 0;
  let least = Number.POSITIVE_INFINITY;
  let most = 0;
  for (let i = from; i < count - SPAN_MIN; i++) {
    sum += outputW[i]!;
    if (i - from < SPAN_MIN - 1) continue;
    if (i - from >= SPAN_MIN) sum -= outputW[i - SPAN_MIN]!;
    least = Math.min(least, sum / SPAN_MIN);
    most = Math.max(most, sum / SPAN_MIN);
  }
  const above = now > MARGIN * most + MARGIN_W;
  const below = now < least / MARGIN - MARGIN_W;
  return above || below ? minutes[count - SPAN_MIN]! : null;
}
