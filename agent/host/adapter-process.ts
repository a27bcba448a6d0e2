/**
 * One process that runs adapters, seen from the agent: its channels and their one end each. Whatever the process does
 * wrong, the answer is to end it and to tell every open channel why.
 */
import type { ChildProcess } from 'node:child_process';
import type { Socket } from 'node:net';
import { type AdapterManifest, createRequestCheck, endpoints, printable, type Timers } from '#kit';
import type { AdapterChannel, AdapterFailure, ChannelEvents } from './contract.ts';
import { HEAP_LIMIT_BYTES } from './launch.ts';
import { type Message, readMessage } from './messages.ts';
import { createFrameParser, encodeBytes, encodeJson, FRAME, type FrameType } from './pipe.ts';
import { residentBytes } from './resident.ts';
import { createWatch, type Watch } from './watch.ts';

export interface ProcessOptions {
  readonly monoMs: () => number;
  readonly timers: Timers;
  readonly heartbeatLimitMs: number;
  readonly rssLimitBytes: number;
  /** Whether it may be what its manifest says. */
  readonly allows: (manifest: AdapterManifest) => boolean;
  /** Once, before the channels are told: what they open next must not land here. */
  readonly onGone: () => void;
  /** A channel was closed and none is open now. */
  readonly onIdle: () => void;
}

interface OpenChannel {
  readonly adapter: string;
  readonly events: ChannelEvents;
  /** `send` answered false and `drained` is owed. */
  full: boolean;
  /** From its manifest, once that is known: the places bytes come from and go to, and what may be sent. */
  places: readonly string[];
  mayAsk: ReturnType<typeof createRequestCheck>;
}

const MAX_CHANNEL = 0xffff;
/** A process whose pipe broke has so long to come to its own end. */
const END_AFTER_PIPE_MS = 500;

const hexOf = (bytes: Uint8Array): string =>
  Buffer.from(bytes.subarray(0, 16))
    .toString('hex')
    .replace(/(..)(?=.)/g, '$1 ');

export class AdapterProcess {
  readonly #child: ChildProcess;
  readonly #pipe: Socket;
  readonly #options: ProcessOptions;
  readonly #watch: Watch;
  readonly #channels = new Map<number, OpenChannel>();
  readonly #onEnd: (() => void)[] = [];
  #lastChannel = 0;
  #manifests: readonly AdapterManifest[] | null = null;
  #verdict: { failure: AdapterFailure; detail: string } | null = null;
  #outOfMemory = false;
  #gone = false;

  /** `child` must have been started with a pipe at descriptor 3. */
  constructor(child: ChildProcess, options: ProcessOptions) {
    this.#child = child;
    this.#options = options;
    this.#pipe = child.stdio[3] as Socket;
    this.#watch = createWatch({
      ...options,
      heapLimitBytes: HEAP_LIMIT_BYTES,
      measure: () => (child.pid === undefined ? null : residentBytes(child.pid)),
      channelCount: () => this.#channels.size,
      onVerdict: (failure, detail) => this.#kill(failure, detail),
    });
    const parser = createFrameParser(
      (type, payload) => this.#onFrame(type, payload),
      reason => this.#kill('adapterMessage', reason),
    );
    this.#pipe.on('data', chunk => parser.push(chunk as Buffer));
    this.#pipe.on('drain', () => this.#onDrain());
    // The end of the process tells more than the end of its pipe: `close` below reports it, usually at once.
    this.#pipe.on('error', () => void options.timers.after(END_AFTER_PIPE_MS, () => child.kill('SIGKILL')));
    child.on('error', cause => this.#onClose(`it could not be started: ${cause.message}`));
    child.on('close', (code, signal) => {
      this.#onClose(signal === null ? `it exited with code ${code}` : `it was ended by ${signal}`);
    });
  }

  get pid(): number | undefined {
    return this.#child.pid;
  }

  get channelCount(): number {
    return this.#channels.size;
  }

  /** False once it ends or is condemned. */
  get usable(): boolean {
    return !this.#gone && this.#verdict === null;
  }

  /** What it printed may tell why it ends. */
  hear(text: string): void {
    this.#outOfMemory ||= /out of memory|allocation failed/i.test(text);
  }

  open(adapter: string, events: ChannelEvents): AdapterChannel {
    do this.#lastChannel = (this.#lastChannel % MAX_CHANNEL) + 1;
    while (this.#channels.has(this.#lastChannel));
    const id = this.#lastChannel;
    const channel: OpenChannel = { adapter, events, full: false, places: endpoints(undefined), mayAsk: () => false };
    this.#channels.set(id, channel);
    this.#write(encodeJson(FRAME.open, { c: id, adapter }));
    this.#tellReady(channel);
    let closing = false;
    return {
      send: (chunk, from) => {
        const place = channel.places.indexOf(from);
        if (closing || place < 0) return true;
        for (const frame of encodeBytes(FRAME.bytes, id, place, chunk)) if (!this.#write(frame)) channel.full = true;
        return !channel.full;
      },
      close: () => {
        if (closing) return;
        closing = true;
        this.#write(encodeJson(FRAME.close, { c: id }));
      },
    };
  }

  /** Ends it without blame; resolves when it is gone. */
  end(): Promise<void> {
    if (this.#gone) return Promise.resolve();
    this.#kill('adapterCrashed', 'the agent is closing');
    return new Promise(resolve => this.#onEnd.push(resolve));
  }

  #write(frame: Buffer): boolean {
    return this.#pipe.destroyed || this.#verdict !== null || this.#pipe.write(frame);
  }

  #kill(failure: AdapterFailure, detail: string): void {
    this.#verdict ??= { failure, detail };
    this.#child.kill('SIGKILL');
  }

  #onDrain(): void {
    for (const channel of this.#channels.values()) {
      if (!channel.full) continue;
      channel.full = false;
      channel.events.drained();
    }
  }

  #tellReady(channel: OpenChannel): void {
    if (this.#manifests === null) return;
    const manifest = this.#manifests.find(m => m.id === channel.adapter) ?? this.#manifests[0];
    if (manifest === undefined) return;
    channel.places = endpoints(manifest.ble);
    channel.mayAsk = createRequestCheck(manifest.requests);
    channel.events.ready(manifest);
  }

  /** Held against its manifest: what that does not list never reaches the station, and ends the process. */
  #ask(message: Message & { type: 'send' | 'read' }): void {
    const channel = this.#channels.get(message.channel);
    if (channel === undefined) return;
    const place = channel.places[message.place];
    if (place === undefined) this.#kill('adapterMessage', `it named place ${message.place}, which it does not have`);
    else if (message.type === 'read') channel.events.read(place);
    else if (channel.mayAsk(message.message, place)) channel.events.send(message.message, place);
    else this.#kill('adapterMessage', `it wanted to send ${hexOf(message.message)}, which its manifest does not list`);
  }

  #onFrame(type: FrameType, payload: Buffer): void {
    // What is still in the pipe of a process that was condemned is not heard.
    if (this.#verdict !== null || !this.#watch.message()) return;
    const message = readMessage(type, payload);
    if (message === null) this.#kill('adapterMessage', `a message of kind ${type} without sense`);
    else this.#onMessage(message);
  }

  #onMessage(message: Message): void {
    switch (message.type) {
      case 'beat':
        break;
      case 'ready':
        if (!this.#mayBe(message.manifests)) break;
        this.#manifests = message.manifests;
        this.#watch.started();
        for (const channel of this.#channels.values()) this.#tellReady(channel);
        break;
      case 'reading':
        this.#channels.get(message.channel)?.events.reading(message.reading);
        break;
      case 'rejected':
        this.#channels.get(message.channel)?.events.rejected(message.counts, message.detail);
        break;
      case 'send':
      case 'read':
        this.#ask(message);
        break;
      case 'closed':
        this.#take(message.channel)?.closed();
        break;
      case 'failed':
        if (message.channel === null) this.#kill(message.failure, message.detail);
        else this.#take(message.channel)?.ended(message.failure, message.detail);
        break;
      case 'crashed':
        this.hear(message.detail);
        this.#kill(this.#outOfMemory ? 'adapterMemory' : 'adapterCrashed', message.detail);
        break;
    }
  }

  /** What it may send rests on its manifest: told once, and the one that was approved. */
  #mayBe(manifests: readonly AdapterManifest[]): boolean {
    if (this.#manifests !== null) this.#kill('adapterMessage', 'it told its manifest twice');
    else if (!manifests.every(this.#options.allows)) {
      this.#kill('adapterApi', 'its manifest is not the one that was approved');
    } else return true;
    return false;
  }

  #take(id: number): ChannelEvents | undefined {
    const channel = this.#channels.get(id);
    this.#channels.delete(id);
    if (this.#channels.size === 0) this.#options.onIdle();
    return channel?.events;
  }

  #onClose(how: string): void {
    if (this.#gone) return;
    this.#gone = true;
    this.#watch.stop();
    this.#pipe.destroy();
    this.#options.onGone();
    const told = [...this.#channels.values()];
    this.#channels.clear();
    const failure = this.#verdict?.failure ?? (this.#outOfMemory ? 'adapterMemory' : 'adapterCrashed');
    for (const { events } of told) events.ended(failure, printable(this.#verdict?.detail ?? how));
    for (const resolve of this.#onEnd) resolve();
  }
}
