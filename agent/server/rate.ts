/** A bucket of `capacity` tokens that fills evenly over `periodMs`. Time is an argument (monotonic ms). */
export class TokenBucket {
  readonly #capacity: number;
  readonly #perMs: number;
  #tokens: number;
  #filledAtMs: number;

  constructor(capacity: number, periodMs: number, nowMs: number) {
    this.#capacity = capacity;
    this.#perMs = capacity / periodMs;
    this.#tokens = capacity;
    this.#filledAtMs = nowMs;
  }

  /** Takes one token; false where none is left. */
  take(nowMs: number): boolean {
    this.#tokens = Math.min(this.#capacity, this.#tokens + (nowMs - this.#filledAtMs) * this.#perMs);
    this.#filledAtMs = nowMs;
    if (this.#tokens < 1) return false;
    this.#tokens -= 1;
    return true;
  }
}
