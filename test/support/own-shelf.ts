/** A shelf of owner's adapters with real parts: the built bundler, the built host, folders of its own. */
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { createAdapterHost } from '../../agent/host/adapter-host.ts';
import { openShelf } from '../../agent/own-adapters/index.ts';
import { built } from './built.ts';
import { realClock, realTimers } from './real-time.ts';

/** An adapter of one's own as an owner writes it: one byte is the percent. */
export const ownAdapter = (id = 'bee-box', change: { version?: string; head?: string; more?: string } = {}): string => `
import { type Adapter, API_VERSION, createDelimiterFramer } from 'wattkeep/kit';
${change.head ?? ''}
const adapter: Adapter = {
  manifest: {
    id: '${id}', title: 'Bee box', version: '${change.version ?? '1'}', apiVersion: API_VERSION,
    transports: ['process', 'serial'], gives: ['stateOfChargePct', 'inputPowerW', 'outputPowerW'], intervalMs: 1000,
    maxFrameBytes: 64, maxReadingsPerS: 10, ${change.more ?? ''}
  },
  open: () => ({
    createFramer: () => createDelimiterFramer({ maxFrameBytes: 64 }),
    decode: frame => ({
      quantities: { stateOfChargePct: frame[0] ?? null, inputPowerW: 0, outputPowerW: 5 },
      states: {}, quality: 'good', reasons: {},
    }),
  }),
};
export default adapter;
`;

export function ownShelf() {
  const dir = mkdtempSync(join(tmpdir(), 'own-adapters-'));
  const folder = join(dir, 'adapters');
  mkdirSync(folder);
  const host = createAdapterHost({
    entryPath: built('agent/host/adapter-child.js'),
    clock: realClock,
    timers: realTimers,
    onStderr: () => undefined,
    manifestLimitMs: 4000,
  });
  const open = () =>
    openShelf({
      folder,
      dataDir: join(dir, 'data'),
      dist: dirname(built('agent')),
      builtInIds: ['lines'],
      timers: realTimers,
      manifestOf: place => host.manifestOf(place),
    });
  return {
    dir,
    folder,
    host,
    shelf: open(),
    /** As another process would: the command line beside the agent. */
    open,
    put: (name: string, text: string) => writeFileSync(join(folder, name), text),
    remove: (name: string) => rmSync(join(folder, name)),
    async close() {
      await host.close();
      rmSync(dir, { recursive: true, force: true });
    },
  };
}
