/** fast-check that prints its seed when a property fails (its default) and runs long enough to be worth it. */
import fc from 'fast-check';

fc.configureGlobal({ numRuns: 60 });

export { fc };
