/**
 * Entry file of the process that alone loads the Bluetooth library, which may end its process or wait for ever. Started
 * by radio-host.ts with descriptor 3 as its only way out; its argument is its limits, as JSON. It holds the adapter while anybody wants a peripheral.
 */
import { Socket } from 'node:net';
import { type BleNeeds, printable } from '#kit';
import type { BleTarget } from '../transports/ble-radio.ts';
import { createFrameParser, decodeBytes, encodeBytes, encodeJson, FRAME, type FrameType } from './pipe.ts';
import { plainUuid } from './radio-find.ts';
import type { Peripheral } from './radio-library.ts';
import { LIMITS, type RadioLimits } from './radio-limits.ts';
import { RadioLink } from './radio-link.ts';
import { type Power, powerOn } from './radio-power.ts';
import { createScan, type Scan } from './radio-scan.ts';
import type { RadioFailure } from './radio-words.ts';

const BEAT_EVERY_MS = 1000;
const PIPE_DESCRIPTOR = 3;
/** What may wait in the pipe while the agent is busy; values beyond it are dropped, as the air drops them. */
const MOST_WAITING_BYTES = 1_000_000;
/** One advertisement of a peripheral is told at most so often. */
const TELL_FOUND_EVERY_MS = 500;

const limits: RadioLimits = { ...LIMITS, ...(JSON.parse(process.argv[2] ?? '{}') as Partial<RadioLimits>) };
const pipe = new Socket({ fd: PIPE_DESCRIPTOR, readable: true, writable: true });
const links = new Map<number, RadioLink>();
let crashed = false;

const timers = {
  after: (delayMs: number, run: () => void) => {
    const timer = setTimeout(run, delayMs);
    return () => clearTimeout(timer);
  },
};

const send = (type: FrameType, value: unknown): void => void pipe.write(encodeJson(type, value));

function crash(cause: unknown): void {
  if (crashed) return;
  crashed = true;
  const [first = '', second = ''] = String(cause instanceof Error ? cause.stack : cause).split('\n');
  const detail = printable(`${first} ${second.trim()}`.trim(), 200);
  pipe.write(encodeJson(FRAME.crashed, { detail }), () => process.exit(1));
}

/** The adapter went away: links end, and so does this process, since the library does not begin anew. */
function leave(why: RadioFailure): void {
  for (const [c, link] of links) {
    void link.close();
    send(FRAME.closed, { c, ...why });
  }
  pipe.end(() => process.exit(0));
}

let power: Promise<Power> | null = null;
let scan: Scan | null = null;

async function ready(): Promise<Scan | RadioFailure> {
  power ??= powerOn({
    timers,
    limitMs: limits.powerMs,
    computer: { platform: process.platform, nodePath: process.execPath },
    onLost: leave,
  });
  const answer = await power;
  if ('failure' in answer) {
    // A new process is a new chance: nothing else makes the library look again.
    timers.after(0, () => pipe.end(() => process.exit(0)));
    return answer;
  }
  if (scan === null) {
    scan = createScan(answer.library, timers);
    // The library would end the process at an interrupt meant for the agent, unless somebody listens after it.
    process.on('SIGINT', () => undefined);
  }
  return scan;
}

async function open(c: number, target: BleTarget): Promise<void> {
  const answer = await ready();
  if ('failure' in answer) {
    send(FRAME.closed, { c, ...answer });
    return;
  }
  if (!wanted.has(c)) return;
  const isTaken = (id: string): boolean => [...links.values()].some(link => link.peripheralId === id);
  const link = new RadioLink(
    target,
    { scan: answer, timers, limits, isTaken },
    {
      opened: (name, services) => send(FRAME.opened, { c, name, services }),
      bytes(place, bytes) {
        if (pipe.writableLength > MOST_WAITING_BYTES) return;
        for (const frame of encodeBytes(FRAME.bytes, c, place, bytes)) pipe.write(frame);
      },
      closed(why) {
        links.delete(c);
        wanted.delete(c);
        send(FRAME.closed, { c, ...why });
      },
    },
  );
  links.set(c, link);
}

/** Links asked for and not closed: the adapter may take a while to start. */
const wanted = new Set<number>();

async function close(c: number): Promise<void> {
  wanted.delete(c);
  const link = links.get(c);
  await link?.close();
  links.delete(c);
  send(FRAME.closed, { c });
}

const heard = ({ id, rssi, connectable, advertisement }: Peripheral) => ({
  id,
  name: advertisement.localName ?? null,
  services: (advertisement.serviceUuids ?? []).map(plainUuid),
  rssiDbm: rssi,
  connectable: Boolean(connectable),
});

/** Searches that go on, by the number they were asked under. */
const searches = new Map<number, () => void>();

async function search(c: number): Promise<void> {
  const answer = await ready();
  if ('failure' in answer) {
    send(FRAME.closed, { c, ...answer });
    return;
  }
  if (!wanted.has(c)) return;
  const toldAtMs = new Map<string, number>();
  const stop = answer.listen(peripheral => {
    const nowMs = performance.now();
    if (nowMs - (toldAtMs.get(peripheral.id) ?? Number.NEGATIVE_INFINITY) < TELL_FOUND_EVERY_MS) return;
    toldAtMs.set(peripheral.id, nowMs);
    send(FRAME.found, { c, ...heard(peripheral) });
  });
  searches.set(c, stop);
  send(FRAME.opened, { c, name: '', services: [] });
}

function onBytes(type: FrameType, payload: Buffer): void {
  const part = decodeBytes(payload);
  const link = part === null ? undefined : links.get(part.channel);
  if (part === null || link === undefined) return;
  if (type === FRAME.read) void link.read(part.place);
  else void link.write(part.place, Buffer.from(part.bytes));
}

function onFrame(type: FrameType, payload: Buffer): void {
  if (type === FRAME.send || type === FRAME.read) {
    onBytes(type, payload);
    return;
  }
  const message = JSON.parse(payload.toString()) as { c: number; target: BleTarget; needs: BleNeeds };
  switch (type) {
    case FRAME.open:
      wanted.add(message.c);
      void open(message.c, message.target);
      break;
    case FRAME.scan:
      wanted.add(message.c);
      void search(message.c);
      break;
    case FRAME.use:
      void links.get(message.c)?.use(message.needs);
      break;
    case FRAME.close:
      searches.get(message.c)?.();
      searches.delete(message.c);
      void close(message.c);
      break;
  }
}

process.on('uncaughtException', crash);
// A message on its way to a link that was just lost ends so in the library, and harms nothing else.
process.on('unhandledRejection', cause => {
  if (!/reading 'pending'/.test(String(cause))) crash(cause);
});
pipe.on('close', () => process.exit(0));
pipe.on('error', () => process.exit(0));

const parser = createFrameParser(onFrame, reason => crash(`the agent sent ${reason}`));
pipe.on('data', chunk => parser.push(chunk as Buffer));
send(FRAME.beat, {});
setInterval(() => {
  if (!crashed) send(FRAME.beat, {});
}, BEAT_EVERY_MS);
