/** Paths of built files: entry files of child processes run from dist/, as they do for an owner. */
import { existsSync } from 'node:fs';
import { sep } from 'node:path';
import { fileURLToPath } from 'node:url';

/** This file stands in test/support, or compiled in dist/test/support. */
const COMPILED = fileURLToPath(import.meta.url).includes(`${sep}dist${sep}test${sep}`);

/** Absolute path of a file under dist/. Throws where the project has not been built. */
export function built(file: string): string {
  const place = fileURLToPath(new URL(COMPILED ? `../../${file}` : `../../dist/${file}`, import.meta.url));
  if (!existsSync(place)) throw new Error(`${place} is missing: run \`npm run build\` first`);
  return place;
}
