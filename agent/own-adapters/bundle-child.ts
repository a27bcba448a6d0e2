/**
 * Entry file of a process that turns one owner's adapter into one file with the kit inside, and ends: the bundler is
 * large and is never loaded in the agent. Takes `{name, text, kit}` on stdin, answers `{code}` or `{fault}` on stdout.
 * The source is read as text and not run.
 */
import { dirname, sep } from 'node:path';
import { text } from 'node:stream/consumers';
import { build, type Message, type Plugin } from 'esbuild';

/** What an adapter writes to get at the kit. */
const KIT = 'wattkeep/kit';

interface Order {
  /** File name, for messages and for its loader. */
  name: string;
  text: string;
  /** Absolute path of the kit's built index. */
  kit: string;
}

/** Refuses every import but the kit's: nothing of this computer gets into the file. */
const onlyKit = (kit: string): Plugin => ({
  name: 'only-kit',
  setup(building) {
    building.onResolve({ filter: /.*/ }, ({ path, importer }) => {
      if (importer.startsWith(dirname(kit) + sep)) return undefined;
      if (path === KIT) return { path: kit };
      return { errors: [{ text: `"${path}" cannot be imported: an adapter uses nothing but "${KIT}"` }] };
    });
  },
});

const inWords = (name: string, { text: what, location }: Message): string =>
  location === null ? `${name}: ${what}` : `${name}, line ${location.line}: ${what}`;

async function bundle({ name, text: contents, kit }: Order): Promise<{ code: string } | { fault: string }> {
  try {
    const { outputFiles } = await build({
      stdin: { contents, sourcefile: name, loader: name.endsWith('.ts') ? 'ts' : 'js' },
      plugins: [onlyKit(kit)],
      bundle: true,
      write: false,
      format: 'esm',
      platform: 'neutral',
      target: 'node20.19',
      charset: 'utf8',
      logLevel: 'silent',
    });
    return { code: outputFiles[0]!.text };
  } catch (cause) {
    // The bundler tells what is wrong with the source only by throwing a failure with its messages.
    const [first] = (cause as { errors?: Message[] }).errors ?? [];
    if (first === undefined) throw cause;
    return { fault: inWords(name, first) };
  }
}

const order = JSON.parse(await text(process.stdin)) as Order;
process.stdout.write(JSON.stringify(await bundle(order)));
