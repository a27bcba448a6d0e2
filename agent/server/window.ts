/**
 * What a client gets next. At most `size` messages are on their way unacknowledged; beyond that only the newest frame
 * of each key waits, in the place its first one took, so that no kind starves another.
 *
 * The kernel swallows some 4 MB before a slow link shows in `bufferedAmount` (a quarter of an hour of old values):
 * only the client's own word says what has been shown. Pure: no socket, no clock.
 */
export interface Numbered<Frame> {
  readonly n: number;
  readonly frame: Frame;
}

export class SendWindow<Frame> {
  readonly #size: number;
  readonly #waiting = new Map<string, Frame>();
  #sent = 0;
  #acknowledged = 0;

  constructor(size: number) {
    this.#size = size;
  }

  /** Frames waiting for an acknowledgement of earlier ones. */
  get waiting(): number {
    return this.#waiting.size;
  }

  /** The number to send the frame under, or null where it has to wait. */
  offer(key: string, frame: Frame): number | null {
    if (this.#waiting.size > 0 || !this.#isOpen()) {
      this.#waiting.set(key, frame);
      return null;
    }
    return ++this.#sent;
  }

  /**
   * Everything up to `n` has been shown.
   *
   * @returns the frames that may go now; `'stale'` where n tells nothing new; `'impossible'` where n was never sent
   */
  acknowledge(n: number): Numbered<Frame>[] | 'stale' | 'impossible' {
    if (n > this.#sent) return 'impossible';
    if (n <= this.#acknowledged) return 'stale';
    this.#acknowledged = n;
    const ready: Numbered<Frame>[] = [];
    for (const [key, frame] of this.#waiting) {
      if (!this.#isOpen()) break;
      this.#waiting.delete(key);
      ready.push({ n: ++this.#sent, frame });
    }
    return ready;
  }

  #isOpen(): boolean {
    return this.#sent - this.#acknowledged < this.#size;
  }
}
