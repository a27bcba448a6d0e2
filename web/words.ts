/** Every text the page shows, by subject. Sentences are functions of what they tell; nothing here decides. */
export * from './words/connection.ts';
export * from './words/frame.ts';
export * from './words/ledger.ts';
export * from './words/now.ts';
export * from './words/setup.ts';
export * from './words/table.ts';
