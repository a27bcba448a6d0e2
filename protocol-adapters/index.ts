/** The adapters that come with wattkeep, one line each. */
import type { Adapter } from './kit/index.ts';
import { lines } from './lines/index.ts';

export const builtInAdapters: readonly Adapter[] = [lines];
