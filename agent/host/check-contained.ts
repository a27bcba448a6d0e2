/**
 * Runs the conformance suite on an adapter in a contained process of its own, with a limit on time: the adapter may
 * loop for ever. What comes back is a stranger's word: it is read with a limit on its size and printed as plain text.
 */
import type { Socket } from 'node:net';
import path from 'node:path';
import { type Capture, type Check, type ConformanceReport, printable, type Timers } from '#kit';
import { startContained } from './containment.ts';
import { realPlace } from './launch.ts';

export interface CheckOrder {
  readonly seed: number;
  /** Of a built-in; '' for an owner's file, which holds one. */
  readonly id: string;
  /** Chunks as [ms, way, place, hex]. */
  readonly captures: readonly {
    readonly name: string;
    readonly chunks: readonly (readonly [number, 'in' | 'out', string, string])[];
  }[];
}

export interface CheckParts {
  /** Absolute path of the built agent/host/check-child.js. */
  readonly entryPath: string;
  readonly timers: Timers;
  /** Default 60 000. */
  readonly limitMs?: number;
}

const MAX_REPORT_BYTES = 256_000;
const MAX_CHECKS = 100;

const orderOf = (id: string, captures: readonly Capture[], seed: number): CheckOrder => ({
  seed,
  id,
  captures: captures.map(({ name, chunks }) => ({
    name,
    chunks: chunks.map(
      ({ atMs, way, place, bytes }) => [atMs, way, place, Buffer.from(bytes).toString('hex')] as const,
    ),
  })),
});

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;
const words = (value: unknown, max: number): string => printable(String(value ?? ''), max);

function plainReport(report: unknown, seed: number): ConformanceReport | null {
  if (!isObject(report) || !isObject(report.adapter) || !Array.isArray(report.checks)) return null;
  const checks = report.checks.slice(0, MAX_CHECKS).map((check: unknown): Check => {
    const { name, ok, pending, detail } = isObject(check) ? check : {};
    const open = pending === true ? { pending: true as const } : {};
    return { name: words(name, 40), ok: ok === true, ...open, detail: words(detail, 200) };
  });
  const { id, version } = report.adapter;
  const ok = checks.length > 0 && checks.every(check => check.ok);
  return { adapter: { id: words(id, 40), version: words(version, 40) }, seed, ok, checks };
}

function readAnswer(answer: string, seed: number): ConformanceReport | string | null {
  try {
    const parsed: unknown = JSON.parse(answer);
    if (!isObject(parsed)) return null;
    return typeof parsed.fault === 'string' ? words(parsed.fault, 200) : plainReport(parsed.report, seed);
  } catch (cause) {
    // JSON.parse tells bad input only by throwing SyntaxError.
    if (cause instanceof SyntaxError) return null;
    throw cause;
  }
}

/**
 * @param adapter id of a built-in, or absolute path of an owner's built file
 * @returns the report, or in words why there is none
 */
export async function checkContained(
  adapter: string,
  { captures, seed }: { readonly captures: readonly Capture[]; readonly seed: number },
  { entryPath, timers, limitMs = 60_000 }: CheckParts,
): Promise<ConformanceReport | string> {
  const own = path.isAbsolute(adapter);
  const child = startContained({ entryPath, source: own ? realPlace(adapter) : 'built-in' });
  const pipe = child.stdio[3] as Socket;
  let answer = '';
  let verdict: string | null = null;
  const condemn = (why: string): void => {
    verdict ??= why;
    child.kill('SIGKILL');
  };
  const cancel = timers.after(limitMs, () =>
    condemn(`the checks did not come to an end within ${limitMs / 1000} s: an endless loop?`),
  );
  pipe.setEncoding('utf8');
  pipe.on('data', (chunk: string) => {
    answer += chunk;
    if (answer.length > MAX_REPORT_BYTES) condemn('it printed more than a report can hold');
  });
  // The end of the process tells more than the end of its pipe.
  pipe.on('error', () => child.kill('SIGKILL'));
  child.stdout?.resume();
  child.stderr?.resume();
  const ended = new Promise<string>(resolve => {
    child.once('error', cause => resolve(`it could not be started: ${cause.message}`));
    child.once('close', (code, signal) =>
      resolve(signal === null ? `it exited with code ${code}` : `it was ended by ${signal}`),
    );
  });
  pipe.write(`${JSON.stringify(orderOf(own ? '' : adapter, captures, seed))}\n`);
  const how = await ended;
  cancel();
  if (verdict !== null) return verdict;
  return readAnswer(answer, seed) ?? printable(`the adapter ended the checks: ${how}`);
}
