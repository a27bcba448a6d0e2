/**
 * Whether what is plugged in now was ever seen before: the mean of the last minutes against all ten-minute means of the
 * past. Something large plugged in, or off, makes the past a poor guide for as long as it stays.
 */
import { indexAt, type Past, recentLoadW } from './minutes.ts';

const SPAN_MIN = 10;
/** A past of less than this has not shown what belongs to it. */
const ENOUGH_MIN = 60;
/** Looked back at most; older weeks do not make a load familiar. */
const LOOK_BACK_MIN = 2 * 1440;
const MARGIN = 1.25;
const MARGIN_W = 20;
/** The mean of so many minutes tells that it is over. */
const OVER_MIN = 5;
/** Hours of an unfamiliar load after which it is the usual one. */
const USUAL_MIN = 360;

/** @returns minute since which it is unfamiliar, or null where it is known */
export function unfamiliarSince(past: Past): number | null {
  const { minutes, count } = past;
  if (!isUnlike(past, count - SPAN_MIN, recentLoadW(past, SPAN_MIN))) return null;
  return minutes[changeIn(past, count - SPAN_MIN)]!;
}

/** Whether a load lies outside of all ten-minute means before row `until`; false where these are too few. */
function isUnlike({ outputW }: Past, until: number, watts: number): boolean {
  if (until < ENOUGH_MIN) return false;
  const from = Math.max(0, until - LOOK_BACK_MIN);
  let sum = 0;
  let least = Number.POSITIVE_INFINITY;
  let most = 0;
  for (let i = from; i < until; i++) {
    sum += outputW[i]!;
    if (i - from < SPAN_MIN - 1) continue;
    if (i - from >= SPAN_MIN) sum -= outputW[i - SPAN_MIN]!;
    least = Math.min(least, sum / SPAN_MIN);
    most = Math.max(most, sum / SPAN_MIN);
  }
  return watts > MARGIN * most + MARGIN_W || watts < least / MARGIN - MARGIN_W;
}

/** Row from `from` on at which the load changed most: the split that leaves the two means furthest apart. */
function changeIn({ outputW, count }: Past, from: number): number {
  const n = count - from;
  let total = 0;
  for (let i = from; i < count; i++) total += outputW[i]!;
  let before = 0;
  let best = from;
  let furthest = 0;
  for (let k = 1; k < n; k++) {
    before += outputW[from + k - 1]!;
    const apart = Math.abs(before / k - (total - before) / (n - k)) * Math.sqrt(k * (n - k));
    if (apart <= furthest) continue;
    furthest = apart;
    best = from + k;
  }
  return best;
}

/** Remembers since when the load is unlike its past, until it is like it again or has become the usual one. */
export function createRegime() {
  let since: number | null = null;
  let seenMinute = Number.NEGATIVE_INFINITY;
  return {
    /** After each reading; looked at once a minute. */
    see(past: Past): void {
      const nowMinute = past.minutes[past.count - 1] ?? seenMinute;
      if (nowMinute <= seenMinute) return;
      seenMinute = nowMinute;
      const strange = unfamiliarSince(past);
      if (strange !== null && (since === null || strange > since + 60)) since = strange;
      if (since === null) return;
      const stays = isUnlike(past, indexAt(past, since), recentLoadW(past, OVER_MIN));
      if (!stays || nowMinute - since > USUAL_MIN) since = null;
    },
    /** Minute since when; null where it is known. */
    since: (): number | null => since,
  };
}
