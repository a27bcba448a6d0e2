/**
 * The computer's radio, seen from the agent: one process for all Bluetooth links and searches, started when first
 * wanted. One that crashed is started again at once the first time, then on a ladder; every link it held is told, so
 * that its station connects anew.
 */
import type { LinkFailure, Timers } from '#kit';
import type { BleTarget, Radio, RadioConnection, RadioEvents, RadioSearch } from '../transports/ble-radio.ts';
import { encodeBytes, encodeJson, FRAME } from './pipe.ts';
import type { RadioLimits } from './radio-limits.ts';
import { RadioProcess, type RadioReport } from './radio-process.ts';

export interface RadioHostOptions {
  /** Absolute path of the built agent/host/radio-child.js. */
  readonly entryPath: string;
  readonly clock: { monoMs(): number };
  readonly timers: Timers;
  /** Usually process.env: the radio sees only PATH, HOME and which adapter to take. */
  readonly environment: Readonly<Record<string, string | undefined>>;
  /**
   * Arguments of Node itself, handed on. Default: those the agent was started with, so that what was preloaded there is
   * preloaded here; debugger ports are left out.
   */
  readonly execArgv?: readonly string[];
  /** What it printed, and why it ended. */
  readonly onTrouble: (text: string) => void;
  /** No sign of life for longer ends the process. Default 10 000. */
  readonly heartbeatLimitMs?: number;
  /** Other limits than the usual ones for single steps. */
  readonly limits?: Partial<RadioLimits>;
}

export interface RadioHost extends Radio {
  /** The process that runs now, for the health page. */
  readonly pid: number | undefined;
  /** Lets every peripheral go and ends the process; nothing can be opened afterwards. Idempotent. */
  close(): Promise<void>;
}

/** Kept without a link for so long: a station may be back at once. */
const LINGER_MS = 10_000;
/** Waits before the second, third … start in a row; a process that lived for a minute begins the row anew. */
const LADDER_MS = [0, 2_000, 5_000, 15_000, 30_000, 60_000];
const FORGIVEN_AFTER_MS = 60_000;
const MAX_NUMBER = 0xffff;

type Client =
  | { readonly kind: 'link'; readonly target: BleTarget; readonly events: RadioEvents; gone: (() => void) | null }
  | { readonly kind: 'search'; readonly events: RadioSearch };

export function createRadioHost(options: RadioHostOptions): RadioHost {
  return new Host(options);
}

class Host implements RadioHost {
  readonly #options: RadioHostOptions;
  readonly #clients = new Map<number, Client>();
  #process: RadioProcess | null = null;
  #startedAtMs = 0;
  #crashes = 0;
  #cancelStart: (() => void) | null = null;
  #cancelLinger: (() => void) | null = null;
  #lastNumber = 0;
  #closed = false;

  constructor(options: RadioHostOptions) {
    this.#options = options;
  }

  get pid(): number | undefined {
    return this.#process?.pid;
  }

  open(target: BleTarget, events: RadioEvents): RadioConnection {
    const client: Client = { kind: 'link', target, events, gone: null };
    const c = this.#add(client);
    let closing: Promise<void> | null = null;
    const holds = (): boolean => this.#clients.has(c) && closing === null;
    return {
      use: needs => {
        if (holds()) this.#process?.write(encodeJson(FRAME.use, { c, needs }));
      },
      read: place => {
        if (holds()) this.#writeBytes(FRAME.read, c, place, new Uint8Array());
      },
      write: (place, message) => {
        if (holds()) this.#writeBytes(FRAME.send, c, place, message);
      },
      close: () => {
        closing ??= new Promise(resolve => {
          client.gone = resolve;
          if (!this.#clients.has(c) || this.#process === null) this.#take(c);
          else this.#process.write(encodeJson(FRAME.close, { c }));
          if (!this.#clients.has(c)) resolve();
        });
        return closing;
      },
    };
  }

  search(events: RadioSearch): () => void {
    const c = this.#add({ kind: 'search', events });
    return () => {
      if (this.#take(c) !== undefined) this.#process?.write(encodeJson(FRAME.close, { c }));
    };
  }

  async close(): Promise<void> {
    this.#closed = true;
    this.#cancelStart?.();
    this.#cancelLinger?.();
    await this.#process?.end();
  }

  #writeBytes(type: typeof FRAME.read | typeof FRAME.send, c: number, place: number, bytes: Uint8Array): void {
    for (const frame of encodeBytes(type, c, place, bytes)) this.#process?.write(frame);
  }

  #add(client: Client): number {
    do this.#lastNumber = (this.#lastNumber % MAX_NUMBER) + 1;
    while (this.#clients.has(this.#lastNumber));
    const c = this.#lastNumber;
    this.#clients.set(c, client);
    this.#cancelLinger?.();
    if (this.#process === null) this.#start();
    else this.#ask(c, client);
    return c;
  }

  #take(c: number): Client | undefined {
    const client = this.#clients.get(c);
    this.#clients.delete(c);
    if (client?.kind === 'link') client.gone?.();
    if (this.#clients.size === 0) this.#rest();
    return client;
  }

  /** Nobody wants the radio: it is let go after a while. */
  #rest(): void {
    this.#cancelLinger?.();
    this.#cancelLinger = this.#options.timers.after(LINGER_MS, () => {
      if (this.#clients.size === 0) void this.#process?.end();
    });
  }

  #ask(c: number, client: Client): void {
    this.#process?.write(
      client.kind === 'link' ? encodeJson(FRAME.open, { c, target: client.target }) : encodeJson(FRAME.scan, { c }),
    );
  }

  #start(): void {
    if (this.#closed || this.#process !== null || this.#cancelStart !== null) return;
    const { timers, clock } = this.#options;
    const waitMs = LADDER_MS[Math.min(Math.max(this.#crashes - 1, 0), LADDER_MS.length - 1)]!;
    this.#cancelStart = timers.after(waitMs, () => {
      this.#cancelStart = null;
      if (this.#closed) return;
      this.#startedAtMs = clock.monoMs();
      this.#process = new RadioProcess(this.#options, {
        report: report => this.#hear(report),
        gone: (detail, crashed) => this.#onGone(detail, crashed),
      });
      for (const [c, client] of this.#clients) this.#ask(c, client);
    });
  }

  #onGone(detail: string, crashed: boolean): void {
    const { clock, onTrouble } = this.#options;
    this.#process = null;
    if (clock.monoMs() - this.#startedAtMs > FORGIVEN_AFTER_MS) this.#crashes = 0;
    if (!crashed) {
      // It left as it was asked to, or had told every link why; who came meanwhile has not been heard yet.
      if (this.#clients.size > 0) this.#start();
      return;
    }
    this.#crashes += 1;
    onTrouble(`the radio's process ended: ${detail}`);
    // Ready again by the time the stations come back.
    this.#start();
    for (const c of [...this.#clients.keys()]) this.#fail(c, 'failed', `the radio had to be started again: ${detail}`);
  }

  #fail(c: number, failure: LinkFailure, detail: string): void {
    const client = this.#clients.get(c);
    const closing = client?.kind === 'link' && client.gone !== null;
    this.#take(c);
    if (client?.kind === 'search') client.events.failed(failure, detail);
    else if (!closing) client?.events.closed(failure, detail);
  }

  #hear(report: RadioReport): void {
    const client = this.#clients.get(report.c);
    if (client === undefined) return;
    if (report.type === 'closed') this.#fail(report.c, report.failure, report.detail);
    else if (client.kind === 'search') {
      if (report.type === 'found') client.events.heard(report.heard);
      if (report.type === 'opened') client.events.began?.();
    } else if (report.type === 'bytes') client.events.bytes(report.place, report.bytes);
    else if (report.type === 'opened') client.events.opened(report.name, report.services);
  }
}
