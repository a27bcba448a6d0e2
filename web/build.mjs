/**
 * Builds the page into `<outDir>`: bundles with hashed names, the static shell with its critical CSS inlined, the
 * fonts, a Brotli copy of each text file, the licences of what is bundled, and the manifest the server serves from
 * (exact address → file; nothing else of the folder can be asked for).
 */
import { createHash } from 'node:crypto';
import { copyFile, mkdir, readdir, readFile, rm, writeFile } from 'node:fs/promises';
import { dirname, join, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { brotliCompress, constants } from 'node:zlib';
import { build, transform } from 'esbuild';

const brotli = promisify(brotliCompress);
const FONT_PACKAGE = '@fontsource-variable/atkinson-hyperlegible-next';
const FONTS = ['latin', 'latin-ext'];
/** Addresses that all show the shell; the page looks at the address itself. */
const VIEWS = ['/', '/aim', '/outlast', '/ledger', '/trials', '/wiring', '/setup', '/more'];
/** Of these, those that have pages below them (`/ledger/2026-07-03`, `/trials/beside`). */
const HAVE_PAGES = ['/ledger', '/outlast', '/trials'];
const TYPES = {
  html: 'text/html; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  txt: 'text/plain; charset=utf-8',
  woff2: 'font/woff2',
  svg: 'image/svg+xml',
};

const digest = bytes => createHash('sha256').update(bytes).digest();
const cspHash = text => `sha256-${digest(text).toString('base64')}`;
const nameOf = path => path.split('/').pop();
const shortHash = bytes => digest(bytes).toString('hex').slice(0, 10);

/**
 * @param {{ root: string, outDir: string }} where root of the project, and the folder to write (dist/web)
 * @returns {Promise<{ scriptBytes: number, startBytes: number }>} Brotli bytes of all scripts and shell, and of what
 *   the first view needs
 */
export async function buildWeb({ root, outDir }) {
  await mkdir(outDir, { recursive: true });
  await removeLastBuild(outDir);
  const fonts = await copyFonts(root, outDir);
  const result = await bundle(root, outDir, fonts);
  const files = {};
  const sizes = new Map();
  const add = async (address, file, options = {}) => {
    const bytes = await readFile(join(outDir, file));
    const entry = { file, type: TYPES[file.split('.').pop()], etag: shortHash(bytes), ...options };
    if (!file.endsWith('.woff2')) {
      const packed = await brotli(bytes, { params: { [constants.BROTLI_PARAM_QUALITY]: 11 } });
      await writeFile(join(outDir, `${file}.br`), packed);
      entry.br = `${file}.br`;
      sizes.set(file, packed.length);
    }
    files[address] = entry;
  };

  const entryFile = Object.entries(result.metafile.outputs).find(([, o]) => o.entryPoint?.endsWith('web/main.ts'))[0];
  const shell = await renderShell(root, {
    entry: `/assets/${nameOf(entryFile)}`,
    html: 'index.html',
    styles: ['tokens.css', 'shell.css'],
    early: 'early.js',
  });
  await writeFile(join(outDir, 'index.html'), shell.html);
  const pairBundle = await bundle(root, outDir, fonts, 'web/pair/pair.ts');
  const [pairEntry] = Object.keys(pairBundle.metafile.outputs);
  const pair = await renderShell(root, {
    entry: `/assets/${nameOf(pairEntry)}`,
    html: 'pair/pair.html',
    styles: ['tokens.css', 'pair/pair.css'],
    early: null,
  });
  await writeFile(join(outDir, 'pair.html'), pair.html);
  await writeFile(join(outDir, 'third-party.txt'), await licences(root, result.metafile));
  await copyFile(join(root, 'web', 'mark.svg'), join(outDir, 'mark.svg'));
  for (const address of VIEWS) await add(address, 'index.html', HAVE_PAGES.includes(address) ? { within: true } : {});
  await add('/pair', 'pair.html');
  await add('/mark.svg', 'mark.svg');
  // What a browser asks for beside a page that names no icon, such as the licences.
  await add('/favicon.ico', 'mark.svg');
  await add('/third-party.txt', 'third-party.txt');
  const scripts = Object.keys(result.metafile.outputs).map(nameOf);
  for (const name of [...scripts, nameOf(pairEntry), ...fonts.map(font => nameOf(font.address))].sort()) {
    await add(`/assets/${name}`, name, { immutable: true });
  }
  const csp = {
    styleHashes: [...shell.styleHashes, ...pair.styleHashes],
    scriptHashes: [...shell.scriptHashes, ...pair.scriptHashes],
  };
  const manifest = { files, csp };
  await writeFile(join(outDir, 'manifest.json'), `${JSON.stringify(manifest, null, 2)}\n`);
  const total = names => ['index.html', ...names].reduce((sum, name) => sum + sizes.get(name), 0);
  const start = neededAtStart(result.metafile, entryFile).map(nameOf);
  return { scriptBytes: total(scripts), startBytes: total(start) };
}

/** Takes away what the last build listed; the folder also holds compiled modules, which stay. */
async function removeLastBuild(outDir) {
  const last = await readFile(join(outDir, 'manifest.json'), 'utf8').then(JSON.parse, () => ({ files: {} }));
  const names = Object.values(last.files).flatMap(({ file, br }) => (br ? [file, br] : [file]));
  await Promise.all(names.map(name => rm(join(outDir, nameOf(name)), { force: true })));
}

/**
 * Each entry by itself: what two of them shared would be one more file before the first view. Parts that are fetched later
 * share much with the start, each another handful of modules, and every handful would be a file of its own: so each such
 * part imports the entry, which runs by then, and all that they share with it stands in one file.
 */
async function bundle(root, outdir, fonts, entry = 'web/main.ts') {
  const first = await bundleOnce(root, outdir, fonts, entry, { write: false });
  const later = Object.values(first.metafile.outputs).flatMap(({ entryPoint = entry }) =>
    entryPoint === entry ? [] : [join(root, entryPoint)],
  );
  const sharing = {
    name: 'sharing',
    setup: ({ onLoad }) =>
      onLoad({ filter: /\.ts$/ }, async ({ path }) =>
        later.includes(path)
          ? {
              contents: `${await readFile(path, 'utf8')}\nimport ${JSON.stringify(join(root, entry))};\n`,
              loader: 'ts',
            }
          : null,
      ),
  };
  return bundleOnce(root, outdir, fonts, entry, { plugins: [sharing] });
}

const bundleOnce = (root, outdir, fonts, entry, more) =>
  build({
    ...more,
    absWorkingDir: root,
    entryPoints: [entry],
    outdir,
    bundle: true,
    splitting: true,
    format: 'esm',
    target: 'es2022',
    conditions: ['source'],
    minify: true,
    legalComments: 'none',
    entryNames: '[name]-[hash]',
    chunkNames: '[name]-[hash]',
    define: { WATTKEEP_FONTS: JSON.stringify(fonts) },
    metafile: true,
    logLevel: 'warning',
  });

/** The entry, what it loads, and the Now view with its chart: all but the views one has to go to and what is rarely asked. */
function neededAtStart(metafile, entryFile) {
  const later =
    /web\/((turned-away|alarm-lines)\.ts|views\/((aim|outlast|ledger|ledger-day|ledger-beside|trials|wiring|setup|more)\/|now\/(source-question|unit-question|typed-form|outage-summary|parts-told|gap-told|why)\.ts))/;
  const seen = new Set();
  const visit = file => {
    const output = metafile.outputs[file];
    if (seen.has(file) || later.test(output.entryPoint ?? '')) return;
    seen.add(file);
    for (const { path } of output.imports) if (metafile.outputs[path]) visit(path);
  };
  visit(entryFile);
  return [...seen];
}

async function copyFonts(root, outDir) {
  const copied = [];
  const ranges = JSON.parse(await readFile(join(root, 'node_modules', FONT_PACKAGE, 'unicode.json'), 'utf8'));
  for (const subset of FONTS) {
    const from = join(
      root,
      'node_modules',
      FONT_PACKAGE,
      'files',
      `atkinson-hyperlegible-next-${subset}-wght-normal.woff2`,
    );
    const name = `atkinson-${subset}-${shortHash(await readFile(from))}.woff2`;
    await copyFile(from, join(outDir, name));
    copied.push({ address: `/assets/${name}`, range: ranges[subset] });
  }
  return copied;
}

/** Fills the shell and answers the hashes of its inline style and script, for the content security policy. */
async function renderShell(root, { entry, html, styles, early }) {
  const read = name => readFile(join(root, 'web', name), 'utf8');
  const css = await Promise.all(styles.map(read));
  const style = (await transform(css.join('\n'), { loader: 'css', minify: true })).code.trim();
  const started = early === null ? '' : (await read(early)).replace('%entry%', () => entry);
  const script = (await transform(started, { minify: true, format: 'esm', target: 'es2022' })).code.trim();
  const filled = (await read(html))
    .replace('/*style*/', () => style)
    .replace('/*early*/', () => script)
    .replace('/*entry*/', () => entry);
  return { html: filled, styleHashes: [cspHash(style)], scriptHashes: early === null ? [] : [cspHash(script)] };
}

/** The licence text of every package that has code in the bundles, and of the font. */
async function licences(root, metafile) {
  const names = new Set([FONT_PACKAGE]);
  for (const output of Object.values(metafile.outputs)) {
    for (const [input, { bytesInOutput }] of Object.entries(output.inputs)) {
      const match = /node_modules\/((?:@[^/]+\/)?[^/]+)\//.exec(input);
      if (match && bytesInOutput > 0) names.add(match[1]);
    }
  }
  const parts = ['The page holds work of others. Their licences, in full:\n'];
  for (const name of [...names].sort()) {
    const folder = join(root, 'node_modules', name);
    const { version, license } = JSON.parse(await readFile(join(folder, 'package.json'), 'utf8'));
    const file = (await readdir(folder)).find(entry => /^licen[cs]e/i.test(entry));
    if (file === undefined) throw new Error(`${name} is bundled but has no licence file in ${relative(root, folder)}`);
    parts.push(
      `${'─'.repeat(72)}\n${name} ${version} (${license})\n\n${(await readFile(join(folder, file), 'utf8')).trim()}\n`,
    );
  }
  return parts.join('\n');
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const root = dirname(dirname(fileURLToPath(import.meta.url)));
  const { scriptBytes, startBytes } = await buildWeb({ root, outDir: join(root, 'dist', 'web') });
  console.log(
    `page: ${(startBytes / 1000).toFixed(1)} kB to start, ${(scriptBytes / 1000).toFixed(1)} kB in all (Brotli, without fonts)`,
  );
}
