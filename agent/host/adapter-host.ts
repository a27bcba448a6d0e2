/**
 * Where adapters run: the built-ins share one process, an owner's adapter has its own, and a session that is asked to
 * run alone (it may be what ended the shared one) gets one for itself. Processes start when first needed.
 */
import { spawn } from 'node:child_process';
import { realpathSync } from 'node:fs';
import path from 'node:path';
import { type AdapterManifest, type Timers, WattkeepError } from '#kit';
import { hearPrinted } from '../transports/printed.ts';
import { AdapterProcess } from './adapter-process.ts';
import type { AdapterChannel, ChannelEvents } from './contract.ts';
import { findProgram, launchAdapter, realPlace } from './launch.ts';
import { baselineDataBytes } from './resident.ts';

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
}

export interface AdapterHost {
  /**
   * `adapter`: the id of a built-in, or the absolute path of an owner's file. `alone`: a process for this session
   * only. Everything that goes wrong comes as `ended`.
   */
  open(adapter: string, events: ChannelEvents, alone?: boolean): AdapterChannel;
  /** Manifests of the built-ins, told by the process that runs them. Throws ADAPTER_CRASHED where it cannot start. */
  manifests(): Promise<readonly AdapterManifest[]>;
  /** What runs now, for the health page. */
  processes(): { source: string; pid: number; channels: number }[];
  /** Ends every process; nothing can be opened afterwards. Idempotent. */
  close(): Promise<void>;
}

const BUILT_IN = 'built-in';
/** A process without a session is kept this long: its station may be back at once. */
const LINGER_MS = 10_000;

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
    manifests: () => find(BUILT_IN, BUILT_IN).ready(),
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

type Hooks = Pick<ConstructorParameters<typeof AdapterProcess>[1], 'onGone' | 'onIdle'>;

/** Starts processes for a source, contained as far as this computer allows. */
function createStarter(options: AdapterHostOptions): (source: string, hooks: Hooks) => AdapterProcess {
  const { clock, timers, onStderr, heartbeatLimitMs = 5000, rssLimitBytes = 256_000_000 } = options;
  const monoMs = (): number => clock.monoMs();
  const programs = { prlimit: findProgram('prlimit'), setpriv: findProgram('setpriv') };
  const entryPath = realpathSync(options.entryPath);
  const node = { nodePath: process.execPath, nodeVersion: process.versions.node };
  return (source, hooks) => {
    const memory = { baselineDataBytes: baselineDataBytes() };
    const { file, args } = launchAdapter({ ...programs, ...node, ...memory, entryPath, source });
    const child = spawn(file, args, {
      stdio: ['ignore', 'pipe', 'pipe', 'pipe'],
      env: {},
      cwd: path.dirname(entryPath),
      windowsHide: true,
    });
    const started = new AdapterProcess(child, { ...hooks, monoMs, timers, heartbeatLimitMs, rssLimitBytes });
    hearPrinted([child.stdout, child.stderr], monoMs, text => {
      started.hear(text);
      onStderr(source, text);
    });
    return started;
  };
}
