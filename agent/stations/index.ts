/** Stations at work: from plans to readings and statuses. */
export * from './backoff.ts';
export { type CompositePlan, compositeIntervalMs, type PartPlan } from './composite.ts';
export type { HeldPlan } from './held.ts';
export type { PartStatus } from './part-status.ts';
export type * from './runner.ts';
export type {
  LinkedPlan,
  Resting,
  StationPlan,
  StationReading,
  StationStatus,
  StationSurroundings,
  TypedPlan,
} from './station.ts';
export { createSupervisor, type Supervisor } from './supervisor.ts';
