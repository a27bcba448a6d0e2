/** Where a verb runs adapters: as the agent does, what they print going to the terminal. */
import { join } from 'node:path';
import { type AdapterHost, createAdapterHost } from '../host/adapter-host.ts';
import { clock, timers } from './surroundings.ts';

/** The file whose process runs adapters. @param dist folder of the build */
export const adapterEntry = (dist: string): string => join(dist, 'agent', 'host', 'adapter-child.js');

/** @param dist folder of the build. The caller closes it. */
export const openAdapterHost = (dist: string): AdapterHost =>
  createAdapterHost({
    entryPath: adapterEntry(dist),
    clock,
    timers,
    onStderr: (_source, text) => process.stderr.write(text),
  });
