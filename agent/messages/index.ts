/** What agent and page say to each other, and the interface of the record. */
export * from './aim.ts';
export * from './alarms.ts';
export * from './counted.ts';
export * from './judging.ts';
export * from './ledger.ts';
export * from './ledger-day.ts';
export * from './outlast.ts';
export * from './own-adapters.ts';
export * from './plan.ts';
export * from './record.ts';
export * from './scan.ts';
export * from './scope.ts';
export * from './settings.ts';
export * from './sharing.ts';
export * from './trials.ts';
export * from './trials-compared.ts';
export * from './wire.ts';
