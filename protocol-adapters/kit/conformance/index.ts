/** The suite that every adapter passes: `wattkeep adapter check` runs it, and any test runner can. */
export { type Chance, createChance } from './chance.ts';
export { conformanceText, runConformance } from './suite.ts';
export type * from './terms.ts';
