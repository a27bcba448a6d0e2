/**
 * Entry file of a process that runs adapters and nothing else. Started by adapter-process.ts with an empty
 * environment and descriptor 3 as its only way out. Argument: `built-in`, or the absolute path of an owner's adapter.
 */
import { Socket } from 'node:net';
import { pathToFileURL } from 'node:url';
import { type Adapter, checkAdapter, plainManifest, printable } from '#kit';
import { builtInAdapters } from '../../protocol-adapters/index.ts';
import { type AdapterInput, openChannel } from './channels.ts';
import { createFrameParser, decodeBytes, encodeBytes, encodeJson, FRAME, type FrameType } from './pipe.ts';

const BEAT_EVERY_MS = 1000;
const PIPE_DESCRIPTOR = 3;

const source = process.argv[2] ?? '';
const pipe = new Socket({ fd: PIPE_DESCRIPTOR, readable: true, writable: true });
const adapters = new Map<string, Adapter>();
const channels = new Map<number, AdapterInput>();
let crashed = false;

/** When the agent is slow to read, the station's bytes wait too: nothing piles up in here. */
const send = (type: FrameType, value: unknown): void => write(encodeJson(type, value));

function write(frame: Buffer): void {
  if (pipe.write(frame) || pipe.isPaused()) return;
  pipe.pause();
  pipe.once('drain', () => pipe.resume());
}

function crash(cause: unknown): void {
  if (crashed) return;
  crashed = true;
  const [first = '', second = ''] = String(cause instanceof Error ? cause.stack : cause).split('\n');
  const detail = printable(`${first} ${second.trim()}`.trim(), 200);
  pipe.write(encodeJson(FRAME.crashed, { detail }), () => process.exit(1));
}

const surroundings = {
  monoMs: () => performance.now(),
  timers: {
    after: (delayMs: number, run: () => void) => {
      const timer = setTimeout(run, delayMs);
      return () => clearTimeout(timer);
    },
  },
  output: {
    reading: (c: number, reading: unknown) => send(FRAME.reading, { c, reading }),
    rejected: (c: number, counts: unknown, detail: string) => send(FRAME.rejected, { c, counts, detail }),
    send: (c: number, place: number, message: Uint8Array) => encodeBytes(FRAME.send, c, place, message).forEach(write),
    read: (c: number, place: number) => encodeBytes(FRAME.read, c, place, new Uint8Array(0)).forEach(write),
  },
};

function open(c: number, id: string): void {
  // An owner's file holds one adapter, asked for by its path.
  const adapter = source === 'built-in' ? adapters.get(id) : [...adapters.values()][0];
  if (adapter === undefined) {
    send(FRAME.failed, { c, failure: 'adapterUnknown', detail: printable(`no adapter is called ${id}`) });
    return;
  }
  try {
    channels.set(c, openChannel(c, adapter, surroundings));
  } catch (cause) {
    send(FRAME.failed, { c, failure: 'adapterCrashed', detail: printable(`open threw ${String(cause)}`) });
  }
}

function onFrame(type: FrameType, payload: Buffer): void {
  if (type === FRAME.bytes) {
    const part = decodeBytes(payload);
    if (part !== null) channels.get(part.channel)?.feed(part.bytes, part.place);
    return;
  }
  const message = JSON.parse(payload.toString()) as { c: number; adapter: string };
  if (type === FRAME.open) open(message.c, message.adapter);
  if (type === FRAME.close) {
    channels.get(message.c)?.end();
    channels.delete(message.c);
    send(FRAME.closed, { c: message.c });
  }
}

/** The last words of a process whose file holds no adapter. */
function refuse(failure: string, detail: string): readonly Adapter[] {
  pipe.write(encodeJson(FRAME.failed, { failure, detail: printable(detail) }), () => process.exit(1));
  return [];
}

async function load(): Promise<readonly Adapter[]> {
  if (source === 'built-in') return builtInAdapters;
  let loaded: { default?: unknown };
  try {
    loaded = await import(pathToFileURL(source).href);
  } catch (cause) {
    return refuse('adapterUnknown', `the file cannot be loaded: ${String(cause)}`);
  }
  const adapter = checkAdapter(loaded.default);
  return typeof adapter === 'string' ? refuse('adapterApi', adapter) : [adapter];
}

process.on('uncaughtException', crash);
process.on('unhandledRejection', crash);
// The agent is gone: so is the reason to run.
pipe.on('close', () => process.exit(0));
pipe.on('error', () => process.exit(0));

const loaded = await load();
if (loaded.length > 0) {
  for (const adapter of loaded) adapters.set(adapter.manifest.id, adapter);
  send(FRAME.ready, { manifests: loaded.map(adapter => plainManifest(adapter.manifest)) });
  const parser = createFrameParser(onFrame, reason => crash(`the agent sent ${reason}`));
  pipe.on('data', chunk => parser.push(chunk as Buffer));
  setInterval(() => {
    if (!crashed) send(FRAME.beat, {});
  }, BEAT_EVERY_MS);
}
