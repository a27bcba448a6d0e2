/** The three ways to record: a stream as it is, a Bluetooth station as it is, or either with an adapter that asks. */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type CapturedChunk, endpoints, type Link, MAX_CHARACTERISTICS, type OpenLink, STREAM } from '#kit';
import { openSession } from '../stations/session.ts';
import type { BleService, Radio } from '../transports/ble-radio.ts';
import { openLinkFor } from '../transports/index.ts';
import type { CaptureOptions } from './adapter-capture-options.ts';
import { placeOf } from './adapter-place.ts';
import { openAdapterHost } from './adapter-processes.ts';
import { clock, timers } from './surroundings.ts';

export interface Recorded extends CaptureOptions {
  readonly dist: string;
  readonly take: (way: CapturedChunk['way'], place: string, bytes: Uint8Array) => void;
  /** Something worth keeping that is no chunk. */
  readonly note: (value: object) => void;
  readonly ending: Ending;
  readonly radio: Radio;
}

export interface Ending {
  /** Resolves when it shall end. */
  readonly over: Promise<void>;
  /** The station can be heard from now on. Idempotent. */
  begin(): void;
}

const surroundings = (radio: Radio) => ({
  clock,
  timers,
  environment: process.env,
  radio,
  onStderr: (_link: string, text: string) => void process.stderr.write(text),
});

/** Sends the owner's questions in turn until the answer is called. */
function ask({ send, everyMs, take }: Recorded, write: (message: Uint8Array) => boolean): () => void {
  let cancel: () => void = () => undefined;
  let next = 0;
  const round = (): void => {
    const message = send[next % send.length];
    if (message === undefined) return;
    next += 1;
    if (write(message)) take('out', STREAM, message);
    cancel = timers.after(everyMs, round);
  };
  round();
  return () => cancel();
}

/** In words why the link ended, or null where the owner ended it. */
export async function recordStream(recorded: Recorded): Promise<string | null> {
  const { transport, take, ending, radio } = recorded;
  let stop = (): void => undefined;
  let link: Link | null = null;
  const ended = new Promise<string>(resolve => {
    link = openLinkFor(
      transport,
      surroundings(radio),
    )({
      opened() {
        ending.begin();
        queueMicrotask(() => {
          stop = ask(recorded, message => link?.send?.(message, STREAM) ?? false);
        });
      },
      bytes: (chunk, from = STREAM) => take('in', from, chunk),
      closed: (_failure, detail) => resolve(detail),
    });
  });
  const why = await Promise.race([ended, ending.over.then(() => null)]);
  stop();
  await (link as Link | null)?.close();
  return why;
}

/** Everything it tells by itself, and each value that can be read, once; places are UUIDs. */
export async function recordBle({ transport, take, note, ending, radio }: Recorded): Promise<string | null> {
  if (transport.kind !== 'ble') return null;
  let places: readonly string[] = [];
  let close = (): Promise<void> => Promise.resolve();
  const ended = new Promise<string>(resolve => {
    const connection = radio.open(transport, {
      opened(name, services) {
        ending.begin();
        note({ name, services });
        const needs = allOf(services);
        places = endpoints(needs);
        connection.use(needs);
        for (const [place, key] of places.entries())
          if (needs.characteristics[key]?.use.includes('read')) connection.read(place);
      },
      bytes: (place, chunk) => take('in', (places[place] ?? '').replace(/^u/, ''), chunk),
      closed: (_failure, detail) => resolve(detail),
    });
    close = () => connection.close();
  });
  const why = await Promise.race([ended, ending.over.then(() => null)]);
  await close();
  return why;
}

/** Each characteristic that tells or can be read, by its UUID, as many as a link takes; those that tell first. */
function allOf(services: readonly BleService[]) {
  const all = services.flatMap(service =>
    service.characteristics.map(({ uuid, can }) => {
      const tells = can.includes('notify') || can.includes('indicate');
      const use = [...(tells ? ['notify' as const] : []), ...(can.includes('read') ? ['read' as const] : [])];
      return { service: service.uuid, uuid, use, tells };
    }),
  );
  const useful = all.filter(({ use }) => use.length > 0).sort((a, b) => Number(b.tells) - Number(a.tells));
  const characteristics = useful
    .slice(0, MAX_CHARACTERISTICS)
    .map(({ service, uuid, use }) => [`u${uuid}`, { service, uuid, use, optional: true as const }] as const);
  return { find: {}, characteristics: Object.fromEntries(characteristics) };
}

/** As the agent would read it, with an ear on the link. */
export async function recordThrough(recorded: Recorded): Promise<string | null> {
  const { transport, dist, take, settings, ending, radio } = recorded;
  const cacheDir = mkdtempSync(join(tmpdir(), 'wattkeep-capture-'));
  const host = openAdapterHost(dist);
  try {
    const { adapter } = await placeOf(recorded.adapter ?? '', { dist, cacheDir, settings });
    let close = (): Promise<void> => Promise.resolve();
    const ended = new Promise<string>(resolve => {
      const session = openSession({
        openLink: tapped(openLinkFor(transport, surroundings(radio)), take),
        adapter,
        alone: true,
        runner: host,
        timers,
        events: {
          opened: () => undefined,
          ready: () => ending.begin(),
          reading: () => undefined,
          rejected: () => undefined,
          linkClosed: (_failure, detail) => resolve(detail),
          adapterEnded: (_failure, detail) => resolve(detail),
        },
      });
      close = () => session.close();
    });
    const why = await Promise.race([ended, ending.over.then(() => null)]);
    await close();
    return why;
  } finally {
    await host.close();
    rmSync(cacheDir, { recursive: true, force: true });
  }
}

/** The same link, each message of which is heard. */
function tapped(openLink: OpenLink, take: Recorded['take']): OpenLink {
  return events => {
    const link = openLink({
      ...events,
      bytes(chunk, from = STREAM) {
        take('in', from, chunk);
        events.bytes(chunk, from);
      },
    });
    const { send, read } = link;
    return {
      ...link,
      ...(send === undefined
        ? {}
        : {
            send(message: Uint8Array, to: string) {
              const sent = send.call(link, message, to);
              if (sent) take('out', to, message);
              return sent;
            },
          }),
      ...(read === undefined
        ? {}
        : {
            read(from: string) {
              take('out', from, new Uint8Array(0));
              read.call(link, from);
            },
          }),
    };
  };
}
