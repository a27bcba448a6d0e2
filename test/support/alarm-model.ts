/**
 * What one alarm should be, told from its whole history: runs of what was seen, not variables of the machine. The looks,
 * the owner's answers and the calls are all it keeps.
 */

import type { AlarmKind } from '#messages';
import { ALARMS } from '../../agent/alarms/kinds.ts';
import type { Look } from '../../agent/alarms/slot.ts';

type Seen = Look | 'lost';
const TEN_MINUTES = 600_000;
/** What is gone for no longer still holds. */
const FLICKERS_MS = 10_000;

export class AlarmModel {
  readonly #rule;
  readonly #seen: { ms: number; look: Seen }[] = [];
  #stands = false;
  #answered = true;
  #raisedMs: number | null = null;
  #shelvedUntil: number | null = null;
  #heldUntil = 0;
  #lastMs: number | null = null;
  #hidden = false;
  /** The first look since it last stood. */
  #freeFrom = 0;
  readonly calls: number[] = [];

  constructor(kind: AlarmKind) {
    this.#rule = ALARMS[kind];
  }

  /** @returns whether it is called out */
  see(look: Seen, ms: number): boolean {
    if (this.#lastMs === null || ms - this.#lastMs >= 60_000) this.#heldUntil = ms + 30_000;
    this.#lastMs = ms;
    const held = ms < this.#heldUntil;
    this.#seen.push({ ms, look });
    this.#hidden = look === 'lost' || (look === 'unknown' && this.#hidden);
    if (this.#hidden) return false;
    let wants = false;
    if (this.#stands && look === 'off' && this.#runMs(['off']) >= this.#rule.overForMs) {
      this.#stands = false;
      this.#freeFrom = this.#seen.length - 1;
      if (this.#shelvedUntil !== null) this.#answered = true;
    }
    if (!this.#stands && look === 'on' && !held && this.#heldMs() >= this.#rule.delayMs) {
      this.#stands = true;
      wants = this.#wasCalm();
      this.#raisedMs = ms;
      if (wants) this.#answered = false;
    }
    if (!held && this.#shelvedUntil !== null && ms >= this.#shelvedUntil) {
      this.#shelvedUntil = null;
      if (this.#stands) {
        this.#answered = false;
        wants = true;
      }
    }
    const flooded = this.calls.filter(at => ms - at < TEN_MINUTES).length >= 5;
    if (!wants || this.#shelvedUntil !== null || flooded) return false;
    this.calls.push(ms);
    return true;
  }

  acknowledge(): void {
    this.#answered = true;
  }

  shelve(untilMs: number | null): void {
    this.#shelvedUntil = untilMs;
  }

  get told(): string {
    const state = this.#stands ? (this.#answered ? 'acknowledged' : 'active') : this.#answered ? 'normal' : 'cleared';
    const shelved = this.#shelvedUntil !== null && this.#raisedMs !== null;
    return this.#hidden || (state === 'normal' && !shelved) ? '' : `${state}${shelved ? ' shelved' : ''}`;
  }

  /** How long it has looked like that without a break; what is unknown breaks nothing. */
  #runMs(looks: readonly Seen[], to = this.#seen.length - 1): number {
    let from = to;
    for (let i = to; i >= 0; i--) {
      const { look } = this.#seen[i]!;
      if (look === 'unknown' || look === 'lost') continue;
      if (!looks.includes(look)) break;
      from = i;
    }
    return this.#seen[to]!.ms - this.#seen[from]!.ms;
  }

  /** How long its cause holds, since it last stood; what is away no longer than its delay is away for nobody. */
  #heldMs(): number {
    const { ms } = this.#seen.at(-1)!;
    let from = ms;
    for (let i = this.#seen.length - 1; i >= this.#freeFrom; i--) {
      const one = this.#seen[i]!;
      if (one.look === 'on') from = one.ms;
      if (one.look !== 'off' && one.look !== 'between') continue;
      const onBefore = this.#seen.slice(this.#freeFrom, i).findLast(({ look }) => look === 'on');
      if (onBefore === undefined || one.ms - onBefore.ms > Math.min(FLICKERS_MS, this.#rule.delayMs)) break;
    }
    return ms - from;
  }

  /** Its cause was gone for long enough since it was last raised. */
  #wasCalm(): boolean {
    if (this.#raisedMs === null) return true;
    return this.#seen.some(
      ({ ms, look }, i) => ms > this.#raisedMs! && look === 'off' && this.#runMs(['off'], i) >= this.#rule.calmMs,
    );
  }
}
