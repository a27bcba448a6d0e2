/** All that an adapter sees. Imports no room, no package, no Node module. */
export * from './adapter.ts';
export * from './ble.ts';
export * from './ceiling.ts';
export * from './check-reading.ts';
export * from './clock.ts';
export * from './complete.ts';
export * from './decode-quantities.ts';
export * from './decode-states.ts';
export * from './errors.ts';
export * from './framing/delimiter.ts';
export * from './manifest.ts';
export * from './quantities.ts';
export * from './reading.ts';
export * from './requests.ts';
export * from './talk.ts';
export * from './text.ts';
export * from './transport.ts';
