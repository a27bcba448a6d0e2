/**
 * All stations at once: starts what is planned, ends what is not any more, and leaves alone what did not change.
 */
import type { DecodedReading } from '#kit';
import { Composite } from './composite.ts';
import { type HeldPlan, heldStatus, sameHeld } from './held.ts';
import { type Resting, Station, type StationPlan, type StationStatus, type StationSurroundings } from './station.ts';
import { createTyped, type TypedStation } from './typed.ts';

export interface Supervisor {
  /** The stations from now on. A linked or composite plan whose `key` is unchanged keeps its connection. */
  set(plans: readonly StationPlan[]): void;
  statuses(): StationStatus[];
  /** Tries at once what waits or is parked. False where there is no such station. */
  retryNow(id: string): boolean;
  /** Lets a station go for a while, or until it is taken out; `retryNow` ends it. False where there is no such link. */
  rest(id: string, resting: Resting): boolean;
  /** A reading typed by the owner. False where there is no such typed station, or no typed part for it. */
  typed(id: string, reading: DecodedReading): boolean;
  /** Resolves when every link is closed; readings on their way are told until then. Idempotent. */
  close(): Promise<void>;
}

export function createSupervisor(surroundings: StationSurroundings): Supervisor {
  const linked = new Map<string, Station | Composite>();
  const typed = new Map<string, TypedStation>();
  const held = new Map<string, HeldPlan>();
  /** Ends of removed stations: the next one may want the same port. */
  let leaving: Promise<unknown> = Promise.resolve();
  let closed = false;

  const remove = (station: Station | Composite): void => {
    linked.delete(station.plan.id);
    leaving = Promise.all([leaving, station.close()]);
  };
  const isKept = (plan: StationPlan): boolean => {
    if (plan.kind === 'typed') return typed.has(plan.id);
    if (plan.kind === 'held') return sameHeld(held.get(plan.id), plan);
    const running = linked.get(plan.id)?.plan;
    return running?.kind === plan.kind && running.key === plan.key;
  };

  const start = (plan: StationPlan): void => {
    if (plan.kind === 'held') {
      held.set(plan.id, plan);
      surroundings.onStatus(heldStatus(plan));
      return;
    }
    if (plan.kind === 'typed') {
      const station = createTyped(plan.id, surroundings);
      typed.set(plan.id, station);
      surroundings.onStatus(station.status());
      return;
    }
    const station = plan.kind === 'composite' ? new Composite(plan, surroundings) : new Station(plan, surroundings);
    linked.set(plan.id, station);
    void leaving.then(() => station.start());
  };

  return {
    set(plans) {
      if (closed) return;
      const wanted = new Map(plans.map(plan => [plan.id, plan]));
      for (const station of [...linked.values()]) {
        const plan = wanted.get(station.plan.id);
        if (plan === undefined || plan.kind !== station.plan.kind || !isKept(plan)) remove(station);
      }
      for (const id of [...typed.keys()]) if (wanted.get(id)?.kind !== 'typed') typed.delete(id);
      for (const id of [...held.keys()]) if (wanted.get(id)?.kind !== 'held') held.delete(id);
      for (const plan of wanted.values()) if (!isKept(plan)) start(plan);
    },
    statuses: () => [
      ...[...linked.values(), ...typed.values()].map(station => station.status()),
      ...[...held.values()].map(heldStatus),
    ],
    retryNow(id) {
      linked.get(id)?.retryNow();
      return linked.has(id);
    },
    rest(id, resting) {
      linked.get(id)?.rest(resting);
      return linked.has(id);
    },
    typed(id, reading) {
      const composite = linked.get(id);
      if (composite instanceof Composite) return composite.type(reading);
      typed.get(id)?.type(reading);
      return typed.has(id);
    },
    async close() {
      closed = true;
      for (const station of [...linked.values()]) remove(station);
      typed.clear();
      held.clear();
      await leaving;
    },
  };
}
