/**
 * Entry file of a process that runs the conformance suite on an adapter and ends. Started like any process of adapters:
 * empty environment, descriptor 3 its only way out. Argument: `built-in`, or the absolute path of an owner's built file.
 * Reads one line of JSON, the order, and answers one.
 */
import { Socket } from 'node:net';
import { pathToFileURL } from 'node:url';
import { type CapturedChunk, printable, runConformance, type Sample } from '#kit';
import { builtInAdapters } from '../../protocol-adapters/index.ts';
import type { CheckOrder } from './check-contained.ts';

const PIPE_DESCRIPTOR = 3;
const MAX_SAMPLES = 1000;

const source = process.argv[2] ?? '';
const pipe = new Socket({ fd: PIPE_DESCRIPTOR, readable: true, writable: true });
const answer = (value: object): void => void pipe.end(`${JSON.stringify(value)}\n`, () => process.exit(0));

/** One line; the agent is gone where the pipe ends before it. */
const order = (): Promise<string> =>
  new Promise(resolve => {
    let text = '';
    pipe.setEncoding('utf8');
    pipe.on('data', (chunk: string) => {
      text += chunk;
      if (text.endsWith('\n')) resolve(text);
    });
  });

/** The adapter, and the samples that its file exports beside it. */
async function load(id: string): Promise<{ adapter: unknown; samples: readonly Sample[] }> {
  if (source === 'built-in') {
    const adapter = builtInAdapters.find(({ manifest }) => manifest.id === id);
    if (adapter === undefined)
      throw new RangeError(`there is no such file, and no adapter of wattkeep is called ${id}`);
    return { adapter, samples: [] };
  }
  const loaded = (await import(pathToFileURL(source).href)) as { default?: unknown; samples?: unknown };
  const samples = Array.isArray(loaded.samples) ? (loaded.samples as Sample[]).slice(0, MAX_SAMPLES) : [];
  return { adapter: loaded.default, samples };
}

async function run(): Promise<void> {
  const { seed, id, captures } = JSON.parse(await order()) as CheckOrder;
  const { adapter, samples } = await load(id);
  const recorded = captures.map(({ name, chunks }) => ({
    name,
    chunks: chunks.map(
      ([atMs, way, place, hex]): CapturedChunk => ({ atMs, way, place, bytes: Buffer.from(hex, 'hex') }),
    ),
  }));
  answer({ report: runConformance(adapter, { seed, samples, captures: recorded }) });
}

pipe.on('error', () => process.exit(0));
pipe.on('end', () => process.exit(0));
try {
  await run();
} catch (cause) {
  // A stranger's file may throw anything while it is loaded.
  answer({ fault: printable(String(cause instanceof Error ? cause.message : cause), 200) });
}
