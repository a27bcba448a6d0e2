/**
 * A ceiling on how often something may happen: a token bucket as plain data, the time passed in (monotonic ms).
 * After a pause `burst` may happen at once; in the long run `perS` a second.
 */

export interface Ceiling {
  readonly perS: number;
  readonly burst: number;
}

export interface Bucket {
  readonly tokens: number;
  readonly atMs: number;
}

export const fullBucket = (ceiling: Ceiling, nowMs: number): Bucket => ({ tokens: ceiling.burst, atMs: nowMs });

/** The bucket at `nowMs`; a clock that went back refills nothing. */
export function refill(bucket: Bucket, ceiling: Ceiling, nowMs: number): Bucket {
  const elapsedMs = Math.max(0, nowMs - bucket.atMs);
  return { tokens: Math.min(ceiling.burst, bucket.tokens + (elapsedMs * ceiling.perS) / 1000), atMs: nowMs };
}

/** Takes `wanted` tokens, or null where the ceiling forbids it (the bucket then stays as it was). */
export function take(bucket: Bucket, ceiling: Ceiling, nowMs: number, wanted = 1): Bucket | null {
  const now = refill(bucket, ceiling, nowMs);
  return now.tokens < wanted ? null : { tokens: now.tokens - wanted, atMs: nowMs };
}
