import { fileURLToPath } from 'node:url';
import { defineConfig } from 'vitest/config';
import { BaseSequencer, type TestSpecification } from 'vitest/node';

/** Rooms whose files start no agent and change nothing outside themselves: one process serves many files in turn. */
const PURE = [
  'adapters',
  'alarms',
  'commands',
  'derive',
  'energy',
  'exchange',
  'house',
  'kit',
  'log',
  'settings',
  'simulators',
  'stations',
  'web',
].map(room => `test/${room}/**/*.test.ts`);

/** Of the others these first, so that the end does not wait for one of them. */
const LONGEST = ['test/browser/', 'test/system/', 'test/faults/'];

class LongestFirst extends BaseSequencer {
  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const rank = ({ moduleId, project }: TestSpecification) =>
      (project.config.isolate ? 0 : LONGEST.length + 1) +
      (LONGEST.findIndex(room => moduleId.includes(room)) + 1 || LONGEST.length + 1);
    return (await super.sort(files)).sort((a, b) => rank(a) - rank(b));
  }
}

// Doors (#kit, #energy/*, #messages) open on the sources here, so that a test sees what is being edited.
export default defineConfig({
  root: fileURLToPath(new URL('..', import.meta.url)),
  resolve: { conditions: ['source', 'node', 'import', 'default'] },
  ssr: { resolve: { conditions: ['source', 'node', 'import', 'default'] } },
  test: {
    globalSetup: [],
    // Two more than two cores: real processes, ports and pages mostly wait.
    maxWorkers: 4,
    testTimeout: 60_000,
    hookTimeout: 60_000,
    // A busy machine takes its time; what never comes fails all the same.
    expect: { poll: { timeout: 20_000 } },
    sequence: { sequencer: LongestFirst },
    projects: [
      { extends: true, test: { name: 'pure', include: PURE, isolate: false } },
      { extends: true, test: { name: 'real', include: ['test/**/*.test.ts'], exclude: ['test/long/**', ...PURE] } },
    ],
  },
});
