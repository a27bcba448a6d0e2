/**
 * One alarm that may stand: a state machine without a clock. normal → active → acknowledged → normal, or active →
 * cleared (over, and not acknowledged yet) → normal. Spans by the monotonic clock, instants UTC epoch ms.
 */
import type { AlarmKind, WireAlarm } from '#messages';
import { ALARMS } from './kinds.ts';

/** How its cause looks: `between` lies in the deadband, `unknown` where nothing new is known. */
export type Look = 'on' | 'between' | 'off' | 'unknown';
export type AlarmValues = WireAlarm['values'];

/** What is seen of one cause. */
export interface Glimpse {
  readonly look: Look;
  readonly values: AlarmValues;
  /** Gone for now, while what brings it is still there. */
  readonly near?: boolean;
}

export interface Slot {
  readonly kind: AlarmKind;
  readonly station: string | null;
  /** Of its last raising; null before the first. */
  id: string | null;
  stands: boolean;
  acknowledged: boolean;
  /** Its station tells nothing any more: `silent` stands in its place. */
  gaveWay: boolean;
  call: number;
  raisedAt: number;
  clearedAt: number | null;
  shelvedUntilAt: number | null;
  values: AlarmValues;
  /** Whether the next raising calls. */
  armed: boolean;
  onSinceMs: number | null;
  /** When it was last seen, while it is waited for to hold. */
  lastOnMs: number;
  offSinceMs: number | null;
}

export interface Moment {
  /** UTC epoch ms. */
  readonly at: number;
  readonly monoMs: number;
}

export const newSlot = (kind: AlarmKind, station: string | null): Slot => ({
  kind,
  station,
  id: null,
  stands: false,
  acknowledged: false,
  gaveWay: false,
  call: 0,
  raisedAt: 0,
  clearedAt: null,
  shelvedUntilAt: null,
  values: {},
  armed: true,
  onSinceMs: null,
  lastOnMs: Number.NEGATIVE_INFINITY,
  offSinceMs: null,
});

/** What hovers at its limit, or is told by fits and starts, holds: gone for no longer than this, nor than its delay, ms. */
const FLICKERS_MS = 10_000;

export function stateOf(slot: Slot): WireAlarm['state'] {
  if (slot.stands) return slot.acknowledged ? 'acknowledged' : 'active';
  return slot.id === null || slot.acknowledged ? 'normal' : 'cleared';
}

/** Nothing of it is worth remembering. */
export const isSpent = (slot: Slot): boolean =>
  stateOf(slot) === 'normal' && slot.shelvedUntilAt === null && slot.armed && slot.onSinceMs === null;

/**
 * Takes what is seen of its cause now.
 *
 * @param held nothing may be raised yet
 * @returns whether it wants to call
 */
export function take(slot: Slot, { look, values, near }: Glimpse, now: Moment, held: boolean): boolean {
  const rule = ALARMS[slot.kind];
  if (look === 'unknown') return false;
  slot.gaveWay = false;
  if (look !== 'on' && now.monoMs - slot.lastOnMs > Math.min(FLICKERS_MS, rule.delayMs)) slot.onSinceMs = null;
  if (look === 'off') {
    slot.offSinceMs ??= now.monoMs;
    const goneMs = now.monoMs - slot.offSinceMs;
    if (slot.stands && goneMs >= rule.overForMs) end(slot, now);
    if (goneMs >= ((near ? rule.calmNearMs : undefined) ?? rule.calmMs)) slot.armed = true;
    return false;
  }
  slot.offSinceMs = null;
  if (slot.stands) return false;
  if (look === 'between') return false;
  slot.onSinceMs ??= now.monoMs;
  slot.lastOnMs = now.monoMs;
  if (held || now.monoMs - slot.onSinceMs < rule.delayMs) return false;
  return raise(slot, values, now);
}

function raise(slot: Slot, values: AlarmValues, now: Moment): boolean {
  const calls = slot.armed || slot.id === null;
  Object.assign(slot, { stands: true, armed: false, onSinceMs: null, clearedAt: null, raisedAt: now.at, values });
  if (!calls) return false;
  slot.acknowledged = false;
  return true;
}

function end(slot: Slot, now: Moment): void {
  slot.stands = false;
  slot.clearedAt = now.at;
  // What was set aside is not kept for a reader either.
  if (slot.shelvedUntilAt !== null) slot.acknowledged = true;
}
