/**
 * How well a process of adapters is contained on this computer: found out once by doing it, since a program that is
 * installed may still be forbidden here (inside most containers, or by the system's own rules).
 */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { realpathSync } from 'node:fs';
import path from 'node:path';
import { printable } from '#kit';
import { findProgram, launchAdapter, ownSpace } from './launch.ts';
import { baselineDataBytes } from './resident.ts';

export interface Containment {
  /** 2: an owner's adapter runs in a space of its own. 1: held by Node's permission model and limits only. */
  readonly level: 1 | 2;
  /** Why it is not 2: there is no such program, or it may not do this here, in the system's words. */
  readonly hindrance: 'none' | 'missing' | 'forbidden' | 'system';
  readonly detail: string;
  /** At this level an owner's adapter can reach the network. */
  readonly networkOpen: boolean;
  /** Buffers count against its memory limit as well. */
  readonly buffersLimited: boolean;
}

const PROBE_LIMIT_MS = 3000;

/** Node's permission model holds the network back since 25.0 (from memory of its release notes). */
export const permissionLeavesNetworkOpen = (nodeVersion: string): boolean => Number(nodeVersion.split('.')[0]) < 25;

/** Runs Node once in a space of its own; what stands in the way, or null. */
function probe(bwrap: string): string | null {
  const [file = bwrap, ...args] = [...ownSpace(bwrap, [process.execPath]), process.execPath, '--version'];
  const tried = spawnSync(file, args, { env: {}, encoding: 'utf8', timeout: PROBE_LIMIT_MS, killSignal: 'SIGKILL' });
  if (tried.status === 0 && tried.stdout.trim() === process.version) return null;
  return printable(tried.stderr?.trim().split('\n')[0] || tried.error?.message || `it ended with ${tried.status}`);
}

let found: Containment | null = null;

/** Takes some 100 ms the first time; remembered. */
export function containment(): Containment {
  found ??= containmentWith(findProgram('bwrap'));
  return found;
}

/** What can be had with this bubblewrap (absolute path), or without one. Tries it. */
export function containmentWith(bwrap: string | null): Containment {
  const buffersLimited = findProgram('prlimit') !== null && baselineDataBytes() !== null;
  const held = (hindrance: Containment['hindrance'], detail: string): Containment => ({
    level: 1,
    hindrance,
    detail,
    networkOpen: permissionLeavesNetworkOpen(process.versions.node),
    buffersLimited,
  });
  if (process.platform !== 'linux') return held('system', process.platform);
  if (bwrap === null) return held('missing', 'bwrap');
  const detail = probe(bwrap);
  if (detail !== null) return held('forbidden', detail);
  return { level: 2, hindrance: 'none', detail: '', networkOpen: false, buffersLimited };
}

export interface ContainedStart {
  /** A built file of agent/host. Descriptor 3 is its way out. */
  readonly entryPath: string;
  /** `built-in`, or the absolute path of an owner's built adapter. */
  readonly source: string;
  /** Held at level 1 even where more can be had. */
  readonly mostLevel?: 1 | 2;
}

export function startContained({ entryPath, source, mostLevel = 2 }: ContainedStart): ChildProcess {
  const entry = realpathSync(entryPath);
  const own = source !== 'built-in';
  const { file, args } = launchAdapter({
    entryPath: entry,
    source,
    nodePath: realpathSync(process.execPath),
    nodeVersion: process.versions.node,
    prlimit: findProgram('prlimit'),
    setpriv: findProgram('setpriv'),
    // The built-ins are of one hand with the agent: a space for them would only cost time at its start.
    bwrap: own && mostLevel === 2 && containment().level === 2 ? findProgram('bwrap') : null,
    baselineDataBytes: baselineDataBytes(),
  });
  return spawn(file, args, {
    stdio: ['ignore', 'pipe', 'pipe', 'pipe'],
    env: {},
    cwd: path.dirname(entry),
    windowsHide: true,
  });
}
