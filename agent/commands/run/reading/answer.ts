/**
 * An answer on its way: pieces come in as they are made and go out as they are taken. Written out instead of a generator,
 * since giving it up has to work while a piece is waited for.
 */

export interface AnswerEvents {
  /** Its first piece was asked for. */
  onBegin(): void;
  /** A piece was taken: there is room for one more. */
  onTaken(): void;
  /** Nobody takes anything any more. Once. */
  onOver(): void;
}

type Step = IteratorResult<Uint8Array, undefined>;
interface Asking {
  resolve(step: Step): void;
  reject(error: Error): void;
}

const DONE: Step = { done: true, value: undefined };

export class Answer implements AsyncIterableIterator<Uint8Array, undefined, undefined> {
  readonly #events: AnswerEvents;
  readonly #pieces: Uint8Array[] = [];
  #asking: Asking | null = null;
  #begun = false;
  /** What comes after the pieces; null while more may come. */
  #end: { error: Error | null } | null = null;
  #over = false;

  constructor(events: AnswerEvents) {
    this.#events = events;
  }

  put(piece: Uint8Array): void {
    if (this.#end !== null) return;
    if (this.#asking === null) this.#pieces.push(piece);
    else this.#give(asking => asking.resolve({ done: false, value: piece }));
  }

  /** @param error null: it was whole */
  finish(error: Error | null): void {
    if (this.#end !== null) return;
    this.#end = { error };
    if (this.#asking !== null) this.#give(asking => this.#settle(asking));
  }

  next(): Promise<Step> {
    if (this.#asking !== null) return Promise.reject(new Error('two pieces were asked for at once'));
    return new Promise((resolve, reject) => {
      const asking = { resolve, reject };
      const piece = this.#pieces.shift();
      if (piece !== undefined) {
        resolve({ done: false, value: piece });
        if (this.#end === null) this.#events.onTaken();
      } else if (this.#end !== null) this.#settle(asking);
      else {
        this.#asking = asking;
        if (this.#begun) return;
        this.#begun = true;
        this.#events.onBegin();
      }
    });
  }

  return(): Promise<Step> {
    this.#pieces.length = 0;
    this.finish(null);
    this.#leave();
    return Promise.resolve(DONE);
  }

  throw(): Promise<Step> {
    return this.return();
  }

  [Symbol.asyncIterator](): this {
    return this;
  }

  async [Symbol.asyncDispose](): Promise<void> {
    await this.return();
  }

  #give(step: (asking: Asking) => void): void {
    const asking = this.#asking!;
    this.#asking = null;
    step(asking);
    if (this.#end === null) this.#events.onTaken();
  }

  #settle({ resolve, reject }: Asking): void {
    const error = this.#end!.error;
    // An error is told once, as by a generator.
    this.#end = { error: null };
    this.#leave();
    if (error === null) resolve(DONE);
    else reject(error);
  }

  #leave(): void {
    if (this.#over) return;
    this.#over = true;
    this.#events.onOver();
  }
}
