/** Paths of built files: entry files of child processes run from dist/, as they do for an owner. */
import { existsSync } from 'node:fs';
import { fileURLToPath } from 'node:url';

/** Absolute path of a file under dist/. Throws where the project has not been built. */
export function built(file: string): string {
  const place = fileURLToPath(new URL(`../../dist/${file}`, import.meta.url));
  if (!existsSync(place)) throw new Error(`${place} is missing: run \`npm run build\` first`);
  return place;
}
