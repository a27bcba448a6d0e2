/**
 * A station made of parts, each with an adapter and a link of its own, or typed: one stream of readings on one clock.
 * Each part lives its own life; while one is gone, what it gives is missing with a reason and the rest goes on, so no
 * energy is made up. A part's last value stands for two and a half of its intervals, a typed one for a quarter of an hour.
 */
import {
  combineParts,
  complete,
  type DecodedReading,
  NO_PARTS,
  type Parts,
  type QuantityKey,
  type QuantityName,
  withPart,
} from '#kit';
import { type HeldPlan, heldStatus } from './held.ts';
import { nothingOf, partOf } from './part-gives.ts';
import { compositeStatus, type PartNow } from './part-status.ts';
import {
  type LinkedPlan,
  type Resting,
  Station,
  type StationStatus,
  type StationSurroundings,
  type TypedPlan,
} from './station.ts';
import { createTyped, type TypedStation } from './typed.ts';

export interface PartPlan {
  /** As the owner calls it; unique within the station. */
  readonly name: string;
  readonly gives: readonly QuantityName[];
  readonly plan: LinkedPlan | TypedPlan | HeldPlan;
  /** The adapter's; null where it speaks only on change, or is typed. */
  readonly intervalMs: number | null;
}

export interface CompositePlan {
  readonly kind: 'composite';
  readonly id: string;
  readonly key: string;
  readonly parts: readonly PartPlan[];
  readonly resting?: Resting;
}

/** Values of a part stand for so many of its intervals: one may be late or lost. */
const HOLD_INTERVALS = 2.5;
const LEAST_HOLD_MS = 2500;
/** Common practice, no source: the percent of a station of 1 kWh moves by 3 in this time at 120 W. */
const TYPED_HOLDS_MS = 15 * 60_000;
const DEFAULT_INTERVAL_MS = 1000;
/** Readings of parts this much early count as one interval after the last. */
const EARLY_SHARE = 0.9;

interface Part {
  readonly plan: PartPlan;
  readonly station: Station | TypedStation | { status(): StationStatus };
  heardAtMs: number | null;
}

/** Between readings of the whole: the shortest of its parts'. */
export function compositeIntervalMs(parts: readonly Pick<PartPlan, 'intervalMs'>[]): number {
  const told = parts.flatMap(({ intervalMs }) => intervalMs ?? []);
  return told.length === 0 ? DEFAULT_INTERVAL_MS : Math.min(...told);
}

const holdsMs = ({ plan, intervalMs }: PartPlan): number => {
  if (plan.kind === 'typed') return TYPED_HOLDS_MS;
  return intervalMs === null ? Number.POSITIVE_INFINITY : Math.max(LEAST_HOLD_MS, HOLD_INTERVALS * intervalMs);
};

export class Composite {
  readonly plan: CompositePlan;
  readonly #around: StationSurroundings;
  readonly #session: string;
  readonly #intervalMs: number;
  readonly #parts: readonly Part[];
  #told: Parts = NO_PARTS;
  #seq = 0;
  #lastMs = Number.NEGATIVE_INFINITY;
  #cancel: (() => void) | null = null;
  #missing = '';
  /** Parts heard since the last reading. */
  readonly #fresh = new Set<string>();
  #over = false;

  constructor(plan: CompositePlan, around: StationSurroundings) {
    this.plan = plan;
    this.#around = around;
    this.#session = around.newSessionId();
    this.#intervalMs = compositeIntervalMs(plan.parts);
    this.#parts = plan.parts.map(part => this.#partFor(part));
    const nowMs = around.clock.monoMs();
    for (const { name, gives } of plan.parts) this.#told = withPart(this.#told, name, nothingOf(gives), nowMs, 0);
  }

  start(): void {
    if (this.#over) return;
    for (const { station } of this.#parts) if (station instanceof Station) station.start();
    this.#tell();
  }

  rest(resting: Resting): void {
    for (const { station } of this.#parts) if (station instanceof Station) station.rest(resting);
  }

  retryNow(): void {
    for (const { station } of this.#parts) if (station instanceof Station) station.retryNow();
  }

  /** Typed values go to the typed parts that give them. False where none does. */
  type(reading: DecodedReading): boolean {
    let taken = false;
    for (const { plan, station } of this.#parts) {
      if (!('type' in station) || Object.keys(partOf(reading, plan.gives).quantities).length === 0) continue;
      station.type(reading);
      taken = true;
    }
    return taken;
  }

  status(): StationStatus {
    return compositeStatus(this.plan.id, this.#now(), this.#intervalMs, this.#seq);
  }

  async close(): Promise<void> {
    await Promise.all(this.#parts.map(({ station }) => (station instanceof Station ? station.close() : undefined)));
    this.#over = true;
    this.#cancel?.();
  }

  #partFor(plan: PartPlan): Part {
    const around: StationSurroundings = {
      ...this.#around,
      onReading: reading => this.#heard(plan, reading),
      onStatus: status => this.#onStatus(plan, status),
    };
    const { plan: own } = plan;
    const resting = this.plan.resting === undefined ? {} : { resting: this.plan.resting };
    if (own.kind === 'linked') return { plan, station: new Station({ ...own, ...resting }, around), heardAtMs: null };
    if (own.kind === 'typed') return { plan, station: createTyped(own.id, around), heardAtMs: null };
    return { plan, station: { status: () => heldStatus(own) }, heardAtMs: null };
  }

  #heard(plan: PartPlan, reading: DecodedReading): void {
    const nowMs = this.#around.clock.monoMs();
    const part = this.#parts.find(one => one.plan === plan);
    if (part === undefined) return;
    part.heardAtMs = nowMs;
    this.#fresh.add(plan.name);
    this.#told = withPart(this.#told, plan.name, partOf(reading, plan.gives), nowMs, holdsMs(plan));
    this.#due(nowMs);
  }

  /** At once where an interval has passed since the last one, else when it will have. */
  #due(nowMs: number): void {
    const dueMs = this.#lastMs + this.#intervalMs * EARLY_SHARE;
    if (nowMs >= dueMs) this.#give(nowMs);
    else {
      this.#cancel ??= this.#around.timers.after(this.#lastMs + this.#intervalMs - nowMs, () =>
        this.#give(this.#around.clock.monoMs()),
      );
    }
  }

  #give(nowMs: number): void {
    this.#cancel?.();
    this.#cancel = null;
    if (this.#over) return;
    this.#lastMs = nowMs;
    this.#seq += 1;
    const { id: station } = this.plan;
    const combined = combineParts(this.#told, nowMs);
    this.#markStanding(combined, nowMs);
    const reading = complete(combined);
    this.#around.onReading({ station, session: this.#session, seq: this.#seq, monoMs: nowMs, ...reading });
    if (this.#missingNow(nowMs) !== this.#missing) this.#tell();
  }

  /** A value that still stands from before is there, and `notGiven` by this moment: it is no new evidence. */
  #markStanding({ reasons }: DecodedReading, nowMs: number): void {
    for (const [name, { reading }] of this.#told) {
      if (this.#fresh.has(name) || this.#isMissing(name, nowMs)) continue;
      for (const key of Object.keys(reading.quantities) as QuantityKey[]) reasons[key] ??= 'notGiven';
    }
    this.#fresh.clear();
  }

  /** A part that is not being read says nothing any more, whatever it said a moment ago. */
  #onStatus(plan: PartPlan, { phase }: StationStatus): void {
    if (this.#over) return;
    const nowMs = this.#around.clock.monoMs();
    const part = this.#told.get(plan.name);
    const isLost = phase !== 'live' && phase !== 'typed' && part !== undefined && nowMs < part.untilMs;
    if (isLost) {
      this.#told = withPart(this.#told, plan.name, part.reading, nowMs, 0);
      if (this.#parts.some(({ plan: { name } }) => !this.#isMissing(name, nowMs))) this.#give(nowMs);
    }
    this.#tell();
  }

  #tell(): void {
    this.#missing = this.#missingNow(this.#around.clock.monoMs());
    if (!this.#over) this.#around.onStatus(this.status());
  }

  #isMissing(name: string, nowMs: number): boolean {
    return nowMs >= (this.#told.get(name)?.untilMs ?? 0);
  }

  #missingNow(nowMs: number): string {
    return this.#parts
      .map(({ plan: { name } }) => name)
      .filter(name => this.#isMissing(name, nowMs))
      .join('\n');
  }

  #now(): PartNow[] {
    const nowMs = this.#around.clock.monoMs();
    return this.#parts.map(({ plan: { name, gives }, station, heardAtMs }) => ({
      name,
      gives,
      missing: this.#isMissing(name, nowMs),
      ageMs: heardAtMs === null ? null : nowMs - heardAtMs,
      status: station.status(),
    }));
  }
}
