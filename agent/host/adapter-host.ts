/**
 * Where adapters run: the built-ins share one process, an owner's adapter has its own, and a session that is asked to
 * run alone (it may be what ended the shared one) gets one for itself. Processes start when first needed.
 */
import path from 'node:path';
import { type AdapterManifest, type Timers, WattkeepError } from '#kit';
import { hearPrinted } from '../transports/printed.ts';
import { AdapterProcess } from './adapter-process.ts';
import { startContained } from './containment.ts';
import type { AdapterChannel, ChannelEvents } from './contract.ts';
import { realPlace } from './launch.ts';

export interface AdapterHostOptions {
  /** Absolute path of the built agent/host/adapter-child.js. */
  readonly entryPath: string;
  readonly clock: { monoMs(): number };
  readonly timers: Timers;
  /** What an adapter printed, cut to 64 KiB a minute. `source`: `built-in` or the path of an owner's file. */
  readonly onStderr: (source: string, text: string) => void;
  /** No sign of life for longer ends the process. Default 5000. */
  readonly heartbeatLimitMs?: number;
  /** Resident memory over this ends the process. Default 256 MB. */
  readonly rssLimitBytes?: number;
  /** A file that only tells what it is needs no longer, even on a busy small computer. Default 15 000. */
  readonly manifestLimitMs?: number;
  /**
   * Whether an owner's built file may be what its manifest says when it runs: it could tell another one then than when
   * it was shown. Default: any.
   */
  readonly allows?: (place: string, manifest: AdapterManifest) => boolean;
  /** Contains an owner's adapter at level 1 even where more can be had. Default 2: as well as it goes. */
  readonly mostLevel?: 1 | 2;
}

export interface AdapterHost {
  /**
   * `adapter`: the id of a built-in, or the absolute path of an owner's file. `alone`: a process for this session
   * only. Everything that goes wrong comes as `ended`.
   */
  open(adapter: string, events: ChannelEvents, alone?: boolean): AdapterChannel;
  /**
   * The manifest of an owner's built file, told by a process of its own that is ended afterwards; or in words why there
   * is none: it holds no adapter, ends, or does not answer in time.
   */
  manifestOf(place: string): Promise<AdapterManifest | string>;
  /** What runs now, for the health page. */
  processes(): { source: string; pid: number; channels: number }[];
  /** Ends every process; nothing can be opened afterwards. Idempotent. */
  close(): Promise<void>;
}

const BUILT_IN = 'built-in';
/** A process without a session is kept this long: its station may be back at once. */
const LINGER_MS = 10_000;

const unheard = (): void => undefined;
const NOTHING_HEARD = {
  reading: unheard,
  rejected: unheard,
  send: unheard,
  read: unheard,
  drained: unheard,
  closed: unheard,
} satisfies Partial<ChannelEvents>;

interface Running {
  readonly source: string;
  readonly process: AdapterProcess;
}

export function createAdapterHost(options: AdapterHostOptions): AdapterHost {
  const running = new Map<string, Running>();
  const starter = createStarter(options);
  let aloneCount = 0;
  let closed = false;

  const find = (key: string, source: string): AdapterProcess => {
    const found = running.get(key);
    if (found?.process.usable) return found.process;
    const started: AdapterProcess = starter(source, {
      allows: manifest => source === BUILT_IN || options.allows?.(source, manifest) !== false,
      onGone: () => {
        if (running.get(key)?.process === started) running.delete(key);
      },
      onIdle: () => {
        if (key === BUILT_IN) return;
        options.timers.after(LINGER_MS, () => {
          if (started.channelCount === 0) void started.end();
        });
      },
    });
    running.set(key, { source, process: started });
    return started;
  };

  return {
    open(adapter, events, alone = false) {
      if (closed) throw new WattkeepError('INTERNAL', `${adapter} was opened after the host closed`, 'Report this.');
      const source = path.isAbsolute(adapter) ? realPlace(adapter) : BUILT_IN;
      if (alone) aloneCount += 1;
      return find(alone ? `alone ${aloneCount}` : source, source).open(adapter, events);
    },
    async manifestOf(place) {
      const started = starter(realPlace(place), { onGone: unheard, onIdle: unheard, allows: () => true });
      let cancel = unheard;
      const told = await new Promise<AdapterManifest | string>(resolve => {
        cancel = options.timers.after(options.manifestLimitMs ?? 15_000, () =>
          resolve('it does not come to an end of being loaded'),
        );
        started.open('', { ...NOTHING_HEARD, ready: resolve, ended: (_failure, detail) => resolve(detail) });
      });
      cancel();
      await started.end();
      return told;
    },
    processes: () =>
      [...running.values()].flatMap(({ source, process: { pid, channelCount } }) =>
        pid === undefined ? [] : [{ source, pid, channels: channelCount }],
      ),
    async close() {
      closed = true;
      await Promise.all([...running.values()].map(({ process }) => process.end()));
    },
  };
}

type Hooks = Pick<ConstructorParameters<typeof AdapterProcess>[1], 'allows' | 'onGone' | 'onIdle'>;

/** Starts processes for a source, contained as far as this computer allows. */
function createStarter(options: AdapterHostOptions): (source: string, hooks: Hooks) => AdapterProcess {
  const { clock, timers, onStderr, heartbeatLimitMs = 5000, rssLimitBytes = 256_000_000 } = options;
  const { entryPath, mostLevel = 2 } = options;
  const monoMs = (): number => clock.monoMs();
  return (source, hooks) => {
    const child = startContained({ entryPath, source, mostLevel });
    const started = new AdapterProcess(child, { ...hooks, monoMs, timers, heartbeatLimitMs, rssLimitBytes });
    hearPrinted([child.stdout, child.stderr], monoMs, text => {
      started.hear(text);
      onStderr(source, text);
    });
    return started;
  };
}
