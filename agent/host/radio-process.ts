/**
 * One process of the radio: started with a small environment, listened to, ended. What it says is read with care, since
 * strangers' radio waves stand behind it.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import type { Socket } from 'node:net';
import { type LinkFailure, printable } from '#kit';
import type { BleHeard, BleService } from '../transports/ble-radio.ts';
import { hearPrinted } from '../transports/printed.ts';
import { createFrameParser, decodeBytes, FRAME, type FrameType } from './pipe.ts';
import type { RadioHostOptions } from './radio-host.ts';

export type RadioReport =
  | { readonly type: 'opened'; readonly c: number; readonly name: string; readonly services: readonly BleService[] }
  | { readonly type: 'bytes'; readonly c: number; readonly place: number; readonly bytes: Uint8Array }
  | { readonly type: 'found'; readonly c: number; readonly heard: BleHeard }
  | { readonly type: 'closed'; readonly c: number; readonly failure: LinkFailure; readonly detail: string };

export interface RadioHooks {
  report(report: RadioReport): void;
  /** Once. `crashed`: nobody asked for its end. */
  gone(detail: string, crashed: boolean): void;
}

const ROUND_MS = 1000;
const HEARTBEAT_LIMIT_MS = 10_000;
const END_LIMIT_MS = 2000;
/** Which adapter to take is the library's own word for it. */
const PASSED_ON = ['PATH', 'HOME', 'SystemRoot', 'NOBLE_HCI_DEVICE_ID'];

/** Node's own arguments for a child of this one: all but a debugger's port, which only one process can have. */
export const inherited = (execArgv: readonly string[]): string[] =>
  execArgv.filter(argument => !argument.startsWith('--inspect'));

export class RadioProcess {
  readonly #child: ChildProcess;
  readonly #pipe: Socket;
  readonly #options: RadioHostOptions;
  readonly #hooks: RadioHooks;
  #silentMs = 0;
  #cancelRound: () => void;
  #ending: Promise<void> | null = null;
  #lastWords = '';
  #isGone = false;
  readonly #onGone: (() => void)[] = [];

  constructor(options: RadioHostOptions, hooks: RadioHooks) {
    this.#options = options;
    this.#hooks = hooks;
    const { environment, entryPath, clock, onTrouble } = options;
    const env = Object.fromEntries(PASSED_ON.flatMap(name => (environment[name] ? [[name, environment[name]]] : [])));
    this.#child = spawn(
      process.execPath,
      [...inherited(options.execArgv ?? process.execArgv), entryPath, JSON.stringify(options.limits ?? {})],
      {
        stdio: ['ignore', 'pipe', 'pipe', 'pipe'],
        env,
        windowsHide: true,
      },
    );
    this.#pipe = this.#child.stdio[3] as Socket;
    hearPrinted([this.#child.stdout, this.#child.stderr], () => clock.monoMs(), onTrouble);
    const parser = createFrameParser(
      (type, payload) => this.#onFrame(type, payload),
      reason => this.#condemn(`it sent ${reason}`),
    );
    this.#pipe.on('data', chunk => parser.push(chunk as Buffer));
    // The end of the process tells more than the end of its pipe.
    this.#pipe.on('error', () => this.#child.kill('SIGKILL'));
    this.#child.on('error', cause => this.#finish(`it could not be started: ${cause.message}`, true));
    this.#child.on('close', (code, signal) => {
      const how = signal === null ? `it exited with code ${code}` : `it was ended by ${signal}`;
      this.#finish(this.#lastWords === '' ? how : this.#lastWords, code !== 0);
    });
    this.#cancelRound = options.timers.after(ROUND_MS, this.#round);
  }

  get pid(): number | undefined {
    return this.#child.pid;
  }

  write(frame: Buffer): void {
    if (!this.#pipe.destroyed && this.#ending === null) this.#pipe.write(frame);
  }

  /** Lets it end by itself, which frees the peripherals, or ends it after a while. */
  end(): Promise<void> {
    this.#ending ??= new Promise(resolve => {
      if (this.#isGone) {
        resolve();
        return;
      }
      const cancel = this.#options.timers.after(END_LIMIT_MS, () => this.#child.kill('SIGKILL'));
      this.#onGone.push(() => {
        cancel();
        resolve();
      });
      this.#pipe.end();
    });
    return this.#ending;
  }

  /** Counted in rounds of its own: a computer that slept blames nobody. */
  readonly #round = (): void => {
    this.#cancelRound = this.#options.timers.after(ROUND_MS, this.#round);
    this.#silentMs += ROUND_MS;
    const limitMs = this.#options.heartbeatLimitMs ?? HEARTBEAT_LIMIT_MS;
    if (this.#silentMs > limitMs) this.#condemn(`no sign of life for ${limitMs / 1000} s`);
  };

  #condemn(why: string): void {
    if (this.#lastWords === '') this.#lastWords = why;
    this.#child.kill('SIGKILL');
  }

  #finish(detail: string, failed: boolean): void {
    if (this.#isGone) return;
    this.#isGone = true;
    this.#cancelRound();
    this.#hooks.gone(printable(detail), failed && this.#ending === null);
    for (const tell of this.#onGone) tell();
  }

  #onFrame(type: FrameType, payload: Buffer): void {
    this.#silentMs = 0;
    if (type === FRAME.beat) return;
    if (type === FRAME.bytes) {
      const part = decodeBytes(payload);
      if (part !== null) this.#hooks.report({ type: 'bytes', c: part.channel, place: part.place, bytes: part.bytes });
      return;
    }
    const message = JSON.parse(payload.toString()) as Told;
    if (type === FRAME.crashed) this.#lastWords = message.detail;
    else if (type === FRAME.opened) {
      const { c, name, services } = message;
      this.#hooks.report({ type: 'opened', c, name: printable(name, 60), services });
    } else if (type === FRAME.found) {
      const { c, id, name, services, rssiDbm, connectable } = message;
      const heard = {
        id,
        name: name === null ? null : printable(name, 60),
        services: uuids(services),
        rssiDbm,
        connectable,
      };
      this.#hooks.report({ type: 'found', c, heard });
    } else if (type === FRAME.closed) {
      const { c, failure = 'ended', detail = '' } = message;
      this.#hooks.report({ type: 'closed', c, failure, detail: printable(detail) });
    }
  }
}

type Told = BleHeard & {
  readonly c: number;
  readonly name: string;
  readonly services: readonly BleService[];
  readonly failure?: LinkFailure;
  readonly detail: string;
};

const uuids = (services: readonly unknown[]): string[] => services.filter(service => typeof service === 'string');
