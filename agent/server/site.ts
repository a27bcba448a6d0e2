/**
 * The page's files: exactly those that the build listed, read once at start, served from memory by exact path. No path
 * of a request is ever joined to a folder, so there is nothing to traverse, no listing and no way to a file that was
 * put beside them later.
 */
import { readFile } from 'node:fs/promises';
import { basename, join } from 'node:path';
import * as v from 'valibot';
import { WattkeepError } from '#kit';
import { inLight, type Light } from './light.ts';

const plainName = v.pipe(
  v.string(),
  v.check(name => name === basename(name) && !name.startsWith('.'), 'a file name without folders'),
);
const hash = v.pipe(v.string(), v.regex(/^sha(256|384|512)-[A-Za-z0-9+/]+={0,2}$/));

/** What the build writes to `manifest.json`. */
export const SiteManifest = v.strictObject({
  files: v.record(
    v.pipe(v.string(), v.startsWith('/')),
    v.strictObject({
      file: plainName,
      type: v.string(),
      /** Without quotes. */
      etag: v.pipe(v.string(), v.regex(/^[\w.-]+$/)),
      /** The same file, compressed with brotli. */
      br: v.optional(plainName),
      /** It answers addresses one step below its own too. */
      within: v.optional(v.boolean()),
      /** The name holds a hash of the content: it may be kept for ever. */
      immutable: v.optional(v.boolean()),
    }),
  ),
  /** Hashes of what stands inline in the shell. */
  csp: v.optional(v.strictObject({ styleHashes: v.optional(v.array(hash)), scriptHashes: v.optional(v.array(hash)) })),
});
export type SiteManifest = v.InferOutput<typeof SiteManifest>;

interface Page {
  readonly type: string;
  readonly etag: string;
  readonly immutable: boolean;
  readonly within: boolean;
  readonly plain: Buffer;
  readonly br: Buffer | null;
}

export interface SiteAnswer {
  readonly status: 200 | 304;
  readonly headers: Record<string, string>;
  readonly body: Buffer | null;
}

export interface Site {
  /** Value of Content-Security-Policy for every answer. */
  readonly policy: string;
  /** True where the path shows a page, not one of its parts. */
  isPage(path: string): boolean;
  /** The answer for an exact path, or null where no such file was built. @param light a page is sent in it */
  answer(path: string, acceptEncoding: string, ifNoneMatch: string, light?: Light | null): SiteAnswer | null;
}

/**
 * Reads the manifest and every file it names.
 *
 * @throws WattkeepError INTERNAL where the page was not built or a file is missing
 */
export async function loadSite(dir: string): Promise<Site> {
  try {
    const manifest = v.parse(SiteManifest, JSON.parse(await readFile(join(dir, 'manifest.json'), 'utf8')));
    const pages = new Map<string, Page>();
    for (const [path, entry] of Object.entries(manifest.files)) {
      pages.set(path, {
        type: entry.type,
        etag: entry.etag,
        immutable: entry.immutable === true,
        within: entry.within === true,
        plain: await readFile(join(dir, entry.file)),
        br: entry.br === undefined ? null : await readFile(join(dir, entry.br)),
      });
    }
    return createSite(pages, contentPolicy(manifest.csp?.styleHashes ?? [], manifest.csp?.scriptHashes ?? []));
  } catch (cause) {
    throw new WattkeepError('INTERNAL', `The built page in ${dir} cannot be read.`, 'Run npm run build.', { cause });
  }
}

/** The policy: nothing from anywhere but this server, and nothing inline but what the build hashed. */
export function contentPolicy(styleHashes: readonly string[], scriptHashes: readonly string[]): string {
  const sources = (hashes: readonly string[]) => ["'self'", ...hashes.map(h => `'${h}'`)].join(' ');
  return [
    "default-src 'none'",
    `script-src ${sources(scriptHashes)}`,
    `style-src ${sources(styleHashes)}`,
    "font-src 'self'",
    "img-src 'self' data:",
    "connect-src 'self'",
    "base-uri 'none'",
    "form-action 'self'",
    "frame-ancestors 'none'",
  ].join('; ');
}

/** One step below a page: a date, a word. */
const BELOW = /^(\/[a-z]+)\/[a-z0-9-]{1,40}$/;

function createSite(pages: ReadonlyMap<string, Page>, policy: string): Site {
  const find = (path: string): Page | undefined => {
    const above = pages.get(BELOW.exec(path)?.[1] ?? '');
    return pages.get(path) ?? (above?.within === true ? above : undefined);
  };
  const isPage = (path: string) => find(path)?.type.startsWith('text/html') === true;
  const lit = new Map<string, Page>();
  /** Each page in each light is made once, when it is first asked for. */
  const inItsLight = (page: Page, light: Light): Page => {
    const key = `${light} ${page.etag}`;
    const made = lit.get(key) ?? { ...page, ...inLight(page.plain, light), etag: `${page.etag}-${light}` };
    lit.set(key, made);
    return made;
  };
  return {
    policy,
    isPage,
    answer(path, acceptEncoding, ifNoneMatch, light = null) {
      const built = find(path);
      if (built === undefined) return null;
      const page = light !== null && isPage(path) ? inItsLight(built, light) : built;
      const br = page.br !== null && takesBrotli(acceptEncoding) ? page.br : null;
      // Two encodings are two representations: each has a tag of its own.
      const tag = br === null ? `"${page.etag}"` : `"${page.etag}-br"`;
      const headers: Record<string, string> = {
        'Content-Type': page.type,
        ETag: tag,
        Vary: isPage(path) ? 'Accept-Encoding, Cookie' : 'Accept-Encoding',
        'Cache-Control': page.immutable ? 'public, max-age=31536000, immutable' : 'no-cache',
      };
      if (matchesTag(ifNoneMatch, tag)) return { status: 304, headers, body: null };
      if (br !== null) headers['Content-Encoding'] = 'br';
      return { status: 200, headers, body: br ?? page.plain };
    },
  };
}

/** True where Accept-Encoding names br and does not refuse it with q=0. */
export function takesBrotli(acceptEncoding: string): boolean {
  return acceptEncoding.split(',').some(part => {
    const [coding, ...parameters] = part.split(';').map(s => s.trim().toLowerCase());
    return coding === 'br' && !parameters.some(p => /^q=0(\.0*)?$/.test(p));
  });
}

function matchesTag(ifNoneMatch: string, tag: string): boolean {
  return ifNoneMatch.split(',').some(t => t.trim() === '*' || t.trim().replace(/^W\//, '') === tag);
}
