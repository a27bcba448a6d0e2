/**
 * The conformance suite: everything the agent relies on in an adapter, tried on the bytes its author has.
 */
import type { Adapter } from '../adapter.ts';
import { complete } from '../complete.ts';
import { checkAdapter } from '../manifest.ts';
import { printable } from '../text.ts';
import {
  checkCaptures,
  checkHonesty,
  checkPurity,
  checkRanges,
  checkRobust,
  checkSamples,
  taken,
} from './decode-checks.ts';
import { checkCeiling, checkNoise, checkSilence, checkSplits } from './framing-checks.ts';
import { sampleFault } from './material.ts';
import { decodeOne } from './play.ts';
import { checkRate, checkReconnect } from './session-checks.ts';
import { createSubject, failed, passed, type Subject } from './subject.ts';
import { checkTalk } from './talk-checks.ts';
import type { Check, ConformanceOptions, ConformanceReport } from './terms.ts';
import { checkUnits } from './unit-checks.ts';

const MAX_DETAIL = 200;

/** A check that threw is one that failed: the adapter was where it must not be. */
function safely(name: string, check: () => Check): Check {
  try {
    return check();
  } catch (cause) {
    return failed(name, `the adapter threw ${String(cause)}`);
  }
}

function checkAll(subject: Subject): Check[] {
  const checks = [
    safely('samples', () => checkSamples(subject)),
    ...(subject.captures.length === 0 ? [] : [safely('captures', () => checkCaptures(subject))]),
    safely('random splits', () => checkSplits(subject)),
    safely('noise', () => checkNoise(subject)),
    safely('frame ceiling', () => checkCeiling(subject)),
    safely('silence', () => checkSilence(subject)),
    safely('any frame', () => checkRobust(subject)),
    safely('purity', () => checkPurity(subject)),
    safely('ranges', () => checkRanges(subject)),
    safely('reconnect', () => checkReconnect(subject)),
    safely('rate', () => checkRate(subject)),
  ];
  const talk = checkTalk(subject);
  const session = subject.adapter.open();
  const decoded = subject.corpus
    .filter(({ real }) => real)
    .flatMap(({ frame, place }) => taken(decodeOne(session, frame.slice(), place)) ?? []);
  return [
    ...checks,
    ...talk.checks,
    safely('units', () => checkUnits([...decoded, ...talk.readings.map(complete)])),
    safely('manifest honesty', () => checkHonesty(subject, talk.readings)),
  ];
}

function reportOf(adapter: ConformanceReport['adapter'], seed: number, checks: readonly Check[]): ConformanceReport {
  const plain = checks.map(check => ({ ...check, detail: printable(check.detail, MAX_DETAIL) }));
  return { adapter, seed, ok: plain.every(({ ok }) => ok), checks: plain };
}

/**
 * Runs every check on what an adapter's file exports. Endless loops in it are not caught here: whoever runs a stranger's
 * adapter does so in a process that can be ended.
 */
export function runConformance(candidate: unknown, options: ConformanceOptions): ConformanceReport {
  const { seed, samples = [] } = options;
  const adapter: Adapter | string = checkAdapter(candidate);
  if (typeof adapter === 'string') return reportOf({ id: '', version: '' }, seed, [failed('manifest', adapter)]);
  const { id, version } = adapter.manifest;
  const manifest = passed('manifest', `${id} ${version}, ${adapter.manifest.transports.join(', ')}`);
  const wrong = samples.map(sampleFault).find(fault => fault !== null);
  if (wrong !== undefined) return reportOf({ id, version }, seed, [manifest, failed('samples', wrong)]);
  try {
    return reportOf({ id, version }, seed, [manifest, ...checkAll(createSubject(adapter, options))]);
  } catch (cause) {
    return reportOf({ id, version }, seed, [manifest, failed('opens', `the adapter threw ${String(cause)}`)]);
  }
}

/** The report for a person: one line a check, then the verdict. */
export function conformanceText({ adapter, checks, ok, seed }: ConformanceReport): string {
  const width = Math.max(...checks.map(({ name }) => name.length));
  const mark = ({ ok: good, pending }: Check): string => (pending === true ? 'open' : good ? 'ok  ' : 'FAIL');
  const lines = checks.map(check => `${mark(check)}  ${check.name.padEnd(width)}  ${check.detail}`);
  const failures = checks.filter(check => !check.ok).length;
  const open = checks.filter(({ pending }) => pending === true).length;
  const rest = open === 0 ? '' : `, ${open} open for want of bytes`;
  const verdict = ok
    ? `${adapter.id}: ${checks.length - open} checks passed${rest}`
    : `${adapter.id || 'it'}: ${failures} of ${checks.length} checks failed${rest}`;
  return `${[...lines, '', `${verdict} (seed ${seed})`].join('\n')}\n`;
}
