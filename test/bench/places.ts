/** Where things are, seen from the built bench in dist/test/bench. */
import { existsSync } from 'node:fs';
import { delimiter, join } from 'node:path';
import { fileURLToPath } from 'node:url';

export const ROOT = fileURLToPath(new URL('../../..', import.meta.url));

/** Absolute path of a file under dist. */
export const inDist = (file: string): string => join(ROOT, 'dist', file);

/** A child process of the benches, by its name. */
export const benchChild = (name: string): string => inDist(`test/bench/children/${name}.js`);

export const hasProgram = (name: string): boolean =>
  (process.env.PATH ?? '').split(delimiter).some(folder => existsSync(join(folder, name)));
