/**
 * All alarms of one agent: what is seen goes in, calls come out. Grace after a start and after a sleep, then one call for
 * all that stands; never more than a few calls in ten minutes; set aside means set aside. No clock but what it is given.
 */
import type { AlarmKind } from '#messages';
import { ALARMS } from './kinds.ts';
import { type Glimpse, isSpent, type Moment, newSlot, type Slot, stateOf, take } from './slot.ts';

/** Nothing is raised for so long after a start and after a sleep. */
export const GRACE_MS = 30_000;
/** Between two looks so far apart the computer slept. */
const SLEPT_MS = 60_000;
/** More calls than this in that time help nobody: the rest is shown and not called out. What cannot wait counts alone. */
const CALLS_AT_MOST = 5;
const CALLS_WITHIN_MS = 10 * 60_000;
/** A list that is read at a glance; the oldest of what is over goes first. */
const KEPT_AT_MOST = 40;

const SURE: KnowledgeOf = { readings: 'known', projection: 'known' };

/** One cause as it looks now; `detail` tells two of a kind at one station apart. */
export interface Sight extends Glimpse {
  readonly kind: AlarmKind;
  readonly station: string | null;
  readonly detail: string;
}

/** `lost`: nothing came for so long that the last values say nothing. `unsure`: nothing new is known. */
export type Knowledge = 'known' | 'unsure' | 'lost';
export type KnowledgeOf = Readonly<Record<'readings' | 'projection', Knowledge>>;

export interface Seen {
  readonly sights: readonly Sight[];
  /** Every station there is. What is not sighted at a known one is not there. */
  readonly stations: ReadonlyMap<string, KnowledgeOf>;
}

export interface Turn {
  /** Something of the list is other than before. */
  readonly changed: boolean;
  /** What is called out together now; mostly nothing. */
  readonly called: readonly Slot[];
  readonly cleared: readonly Slot[];
}

export interface Alarms {
  see(seen: Seen, now: Moment): Turn;
  /** Each is false where nothing of that id stands there. */
  acknowledge(id: string): boolean;
  shelve(id: string, untilAt: number): boolean;
  unshelve(id: string): boolean;
  /** What stands, what is over and not acknowledged, and what is set aside; oldest first. */
  list(): readonly Readonly<Slot>[];
  /** @param kind any where it is left out */
  stands(station: string, kind?: AlarmKind): boolean;
}

/**
 * @param newId a short id, unique over the agent's life
 * @param firstCall another one in each run, so that a page that stayed open takes no call for one it has heard
 */
export function createAlarms(newId: () => string, firstCall: number): Alarms {
  const slots = new Map<string, Slot>();
  let last: Moment | null = null;
  let heldUntilMs = 0;
  let calls = firstCall;
  let lately: { ms: number; urgent: boolean }[] = [];

  const find = (id: string): Slot | undefined => [...slots.values()].find(slot => slot.id === id && isTold(slot));

  function hold(now: Moment): boolean {
    const slept =
      last === null ||
      now.monoMs - last.monoMs >= SLEPT_MS ||
      // Some clocks stand still while a computer sleeps.
      now.at - last.at - (now.monoMs - last.monoMs) >= SLEPT_MS;
    if (slept) heldUntilMs = now.monoMs + GRACE_MS;
    last = now;
    return now.monoMs < heldUntilMs;
  }

  /** What is seen of each, also of what is no longer told. */
  function looks(seen: Seen): Map<string, Glimpse> {
    const found = new Map<string, Glimpse>();
    for (const sight of seen.sights) {
      const { kind, station, detail, look } = sight;
      const key = `${kind} ${station ?? ''} ${detail}`;
      found.set(key, sight);
      if (look === 'on' && !slots.has(key)) slots.set(key, newSlot(kind, station));
    }
    for (const [key, slot] of slots) {
      const { restsOn } = ALARMS[slot.kind];
      const of = slot.station === null ? SURE : seen.stations.get(slot.station);
      const knowledge = restsOn === 'agent' ? 'known' : of?.[restsOn];
      if (of === undefined) slots.delete(key);
      else if (knowledge === 'lost') slot.gaveWay = true;
      else if (!found.has(key)) found.set(key, { look: knowledge === 'known' ? 'off' : 'unknown', values: {} });
    }
    return found;
  }

  /**
   * Words of a fault that change with each reading are one fault: it goes on while another is told in its place, and has
   * to hold no longer for being told in other words.
   */
  function joinFaults(found: Map<string, Glimpse>): void {
    const faults = [...slots].filter(([, { kind }]) => kind === 'fault');
    for (const [key, slot] of faults) {
      if (slot.stands || found.get(key)?.look !== 'on') continue;
      const gone = faults.filter(
        ([other, { station }]) => station === slot.station && found.get(other)?.look === 'off',
      );
      const standing = gone.filter(([, { stands }]) => stands);
      for (const [other] of standing) found.set(other, { look: 'between', values: {} });
      if (standing.length === 0)
        slot.onSinceMs ??= gone.find(([, { onSinceMs }]) => onSinceMs !== null)?.[1].onSinceMs ?? null;
    }
  }

  /** Over, and followed by another of its kind: nobody needs both. */
  function supersede(by: Slot): void {
    for (const [key, slot] of slots)
      if (slot !== by && slot.kind === by.kind && slot.station === by.station && stateOf(slot) === 'cleared')
        slots.delete(key);
  }

  function call(wanting: readonly Slot[], now: Moment): readonly Slot[] {
    if (wanting.length === 0) return [];
    for (const slot of wanting) {
      slot.id = newId();
      supersede(slot);
    }
    const aloud = wanting.filter(slot => slot.shelvedUntilAt === null);
    lately = lately.filter(({ ms }) => now.monoMs - ms < CALLS_WITHIN_MS);
    const urgent = aloud.some(({ kind }) => ALARMS[kind].priority === 'high');
    const flooded = lately.filter(one => one.urgent || !urgent).length >= CALLS_AT_MOST;
    if (aloud.length > 0 && !flooded) {
      calls++;
      lately.push({ ms: now.monoMs, urgent });
    }
    for (const slot of wanting) slot.call = calls;
    return flooded ? [] : aloud;
  }

  function tidy(): void {
    for (const [key, slot] of slots) if (isSpent(slot)) slots.delete(key);
    const over = [...slots]
      .filter(([, slot]) => stateOf(slot) === 'cleared')
      .sort(([, a], [, b]) => a.raisedAt - b.raisedAt);
    for (const [key] of over.slice(0, Math.max(0, slots.size - KEPT_AT_MOST))) slots.delete(key);
  }

  return {
    see(seen, now) {
      const held = hold(now);
      const before = fingerprint(slots);
      const found = looks(seen);
      joinFaults(found);
      const wanting: Slot[] = [];
      const cleared: Slot[] = [];
      for (const [key, slot] of slots) {
        const one: Glimpse = found.get(key) ?? { look: 'unknown', values: {} };
        if (slot.gaveWay && one.look === 'unknown') continue;
        const stood = slot.stands;
        if (take(slot, one, now, held)) wanting.push(slot);
        if (stood && !slot.stands) cleared.push(slot);
        if (!held && unshelved(slot, now.at)) wanting.push(slot);
      }
      const called = call([...new Set(wanting)], now);
      tidy();
      return { changed: fingerprint(slots) !== before, called, cleared };
    },
    acknowledge(id) {
      const slot = find(id);
      if (slot !== undefined) slot.acknowledged = true;
      return slot !== undefined;
    },
    shelve(id, untilAt) {
      const slot = find(id);
      if (slot !== undefined) slot.shelvedUntilAt = untilAt;
      return slot !== undefined;
    },
    unshelve(id) {
      const slot = find(id);
      if (slot !== undefined) slot.shelvedUntilAt = null;
      return slot !== undefined;
    },
    list: () => [...slots.values()].filter(isTold).sort((a, b) => a.raisedAt - b.raisedAt),
    stands: (station, kind) =>
      [...slots.values()].some(
        slot => slot.station === station && slot.stands && (kind === undefined || slot.kind === kind),
      ),
  };
}

/** True for one whose shelf is over while it stands: it calls again. */
function unshelved(slot: Slot, at: number): boolean {
  if (slot.shelvedUntilAt === null || at < slot.shelvedUntilAt) return false;
  slot.shelvedUntilAt = null;
  if (!slot.stands) return false;
  slot.acknowledged = false;
  return true;
}

const isTold = (slot: Slot): boolean =>
  !slot.gaveWay && (stateOf(slot) !== 'normal' || (slot.shelvedUntilAt !== null && slot.id !== null));

const fingerprint = (slots: ReadonlyMap<string, Slot>): string =>
  [...slots.values()]
    .filter(isTold)
    .map(slot => `${slot.id} ${stateOf(slot)} ${slot.call} ${slot.raisedAt} ${slot.shelvedUntilAt}`)
    .join('|');
