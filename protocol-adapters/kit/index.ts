/** All that an adapter sees. Imports no room, no package, no Node module. */
export * from './adapter.ts';
export * from './errors.ts';
export * from './quantities.ts';
export * from './reading.ts';
export * from './transport.ts';
