/**
 * Every text the page shows, by subject. Sentences are functions of what they tell; nothing here decides. What only
 * Ledger or Setup says stands in words/ too, and is fetched with that view.
 */
export * from './words/connection.ts';
export * from './words/frame.ts';
export * from './words/now.ts';
export * from './words/table.ts';
