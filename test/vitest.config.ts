import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';

// Doors (#kit, #energy/*, #messages) open on the sources here, so that a test sees what is being edited.
export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  resolve: { conditions: ['source', 'node', 'import', 'default'] },
  ssr: { resolve: { conditions: ['source', 'node', 'import', 'default'] } },
  test: {
    include: ['test/**/*.test.ts'],
    exclude: ['test/long/**'],
    globalSetup: [],
    maxWorkers: 2,
    testTimeout: 60_000,
    hookTimeout: 60_000,
  },
});
