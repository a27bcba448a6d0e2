/**
 * Entry file of a process that plays a capture through one adapter and ends: contained like the one that reads stations,
 * for an adapter may be anyone's. Argument: `built-in`, or the absolute path of an owner's built file. Takes one order as
 * a line of JSON on descriptor 3 and answers there with a line for each step.
 */
import { Socket } from 'node:net';
import { createInterface } from 'node:readline';
import { pathToFileURL } from 'node:url';
import { checkAdapter, printable } from '#kit';
import { builtInAdapters } from '../../protocol-adapters/index.ts';
import { playCapture } from './play.ts';
import { captureOf, type PlayOrder, stepLine } from './play-lines.ts';

const source = process.argv[2] ?? '';
const pipe = new Socket({ fd: 3, readable: true, writable: true });
const say = (line: unknown): void => void pipe.write(`${JSON.stringify(line)}\n`);

async function load(id: string): Promise<unknown> {
  if (source === 'built-in') {
    const found = builtInAdapters.find(({ manifest }) => manifest.id === id);
    if (found === undefined) throw new RangeError(`there is no such file, and no adapter of wattkeep is called ${id}`);
    return found;
  }
  return ((await import(pathToFileURL(source).href)) as { default?: unknown }).default;
}

async function carryOut({ adapter: id, capture }: PlayOrder): Promise<void> {
  const adapter = checkAdapter(await load(id));
  if (typeof adapter === 'string') say({ fault: adapter });
  else say({ end: playCapture(adapter, captureOf(capture), step => say(stepLine(step))) });
}

createInterface({ input: pipe }).once('line', line => {
  carryOut(JSON.parse(line) as PlayOrder)
    // A stranger's file may throw anything while it is loaded.
    .catch((cause: unknown) => say({ fault: printable(String(cause instanceof Error ? cause.message : cause), 200) }))
    .finally(() => pipe.end(() => process.exit(0)));
});
