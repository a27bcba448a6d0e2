/** Stations at work: from plans to readings and statuses. */
export * from './backoff.ts';
export type { HeldPlan } from './held.ts';
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
