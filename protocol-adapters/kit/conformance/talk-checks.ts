/**
 * Talks: only listed questions; readings at the promised pace from a station that answers; no reading, no throw and no
 * flood of questions from one that answers late, wrong or never.
 */
import { complete } from '../complete.ts';
import type { DecodedReading } from '../reading.ts';
import { broken } from './decode-checks.ts';
import { doubled, late, noisy, shifted, silent, spoiled } from './station.ts';
import { failed, passed, pending, type Subject } from './subject.ts';
import { type Lived, liveThrough, MAX_ASKS_PER_S } from './talk-bench.ts';
import type { Check, ScriptedStation } from './terms.ts';

const NEEDS_EXCHANGE =
  'needs samples with `asked`, or a capture of both ways: record one with `wattkeep adapter capture`';
/** Grown with the interval, so that slow stations are asked often enough too. */
const spanOf = (intervalMs: number): number => Math.min(86_400_000, Math.max(60_000, 20 * intervalMs));

export interface TalkChecked {
  readonly checks: readonly Check[];
  /** What the talk gave with a station that answers. */
  readonly readings: readonly DecodedReading[];
}

const errorOf = ({ rejections }: Lived): string | null =>
  rejections.find(({ rejected }) => rejected === 'adapterError')?.detail ?? null;

/** Wrong in any company: an unlisted question, a throw, a flood. */
function misbehaves(lived: Lived): string | null {
  const { unlisted, asks, spanMs, longestWaitMs } = lived;
  if (unlisted !== null) return unlisted;
  const error = errorOf(lived);
  if (error !== null) return error;
  if (longestWaitMs > 60_000) return `it waits ${longestWaitMs} ms for an answer, 60000 at most`;
  const perS = (asks / spanMs) * 1000;
  return perS > MAX_ASKS_PER_S ? `${Math.round(perS)} questions a second, ${MAX_ASKS_PER_S} at most` : null;
}

function checkAnswers(subject: Subject, lived: Lived): Check {
  const name = 'talk';
  const { material, adapter } = subject;
  const fault = misbehaves(lived);
  if (fault !== null) return failed(name, fault);
  if (material.exchanges.length === 0 && lived.readings.length === 0) return pending(name, NEEDS_EXCHANGE);
  const readings = lived.readings.map(({ reading }) => complete(reading));
  if (readings.length === 0) {
    const [why] = lived.rejections;
    return failed(
      name,
      `no reading from a station that answers as recorded (${why?.rejected ?? 'nothing asked'}: ${why?.detail ?? ''})`,
    );
  }
  for (const sample of material.samples) {
    const unkept = broken(sample, readings);
    if (unkept !== null) return failed(name, unkept);
  }
  const { intervalMs, maxReadingsPerS, onChangeOnly } = adapter.manifest;
  const perS = (readings.length / lived.spanMs) * 1000;
  if (perS > maxReadingsPerS)
    return failed(name, `${perS.toFixed(1)} readings a second; maxReadingsPerS is ${maxReadingsPerS}`);
  if (onChangeOnly !== true && material.exchanges.length > 0 && perS * intervalMs < 500) {
    return failed(
      name,
      `${readings.length} readings in ${lived.spanMs / 1000} s; intervalMs ${intervalMs} promises more`,
    );
  }
  return passed(name, `${readings.length} readings of ${lived.asks} questions in ${lived.spanMs / 1000} s, all listed`);
}

/** Values that were never in a reading of the station in order, and values refused that never were. */
function strange(lived: Lived, known: readonly DecodedReading[]): string | null {
  const seen = new Set(
    known.flatMap(({ quantities }) => Object.entries(quantities).map(([key, value]) => `${key} ${value}`)),
  );
  const refused = new Set(known.flatMap(({ reasons }) => Object.keys(reasons)));
  for (const { reading } of lived.readings) {
    for (const [key, value] of Object.entries(reading.quantities)) {
      if (value !== null && !seen.has(`${key} ${value}`)) return `${key} became ${value}`;
    }
    for (const [key, reason] of Object.entries(reading.reasons)) {
      if (reason !== 'notAvailable' && reason !== 'notGiven' && !refused.has(key)) return `${key} is ${reason}`;
    }
  }
  return null;
}

function checkWrong(subject: Subject, spanMs: number): Check[] {
  const { adapter, chance, stillStation: station } = subject;
  const known = liveThrough(adapter, station(), spanMs);
  const readings = known.readings.map(({ reading }) => reading);
  const live = (wrong: ScriptedStation): Lived => liveThrough(adapter, wrong, spanMs);
  const checks: Check[] = [];

  const unanswered = live(silent(station()));
  const silence =
    misbehaves(unanswered) ?? (unanswered.readings.length > 0 ? 'readings, though nothing was answered' : null);
  const stopped =
    silence ?? (unanswered.asks > 1 || known.asks === 0 ? null : 'it gives up for good after one question');
  checks.push(
    stopped === null
      ? passed('no answer', `${unanswered.asks} questions in ${spanMs / 1000} s, no reading`)
      : failed('no answer', stopped),
  );

  const waitMs = known.longestWaitMs;
  const delays = [1.05 * waitMs, 1.5 * waitMs, 3 * waitMs, waitMs + adapter.manifest.intervalMs].map(Math.round);
  const lateFaults = delays.map(delayMs => {
    const lived = live(late(station(), delayMs, chance('late answers')));
    const odd = misbehaves(lived) ?? strange(lived, readings);
    return odd === null ? null : `answers ${delayMs} ms late: ${odd}`;
  });
  const lateFault = lateFaults.find(fault => fault !== null) ?? null;
  checks.push(
    lateFault === null
      ? passed('late answers', `none taken for another (${delays.join(', ')} ms)`)
      : failed('late answers', lateFault),
  );

  const draw = chance('wrong answers');
  const wrongs: [string, ScriptedStation][] = [
    ['spoiled', spoiled(station(), draw)],
    ['random', noisy(station(), draw)],
    ['doubled', doubled(station())],
    ["another question's", shifted(station())],
  ];
  const faults = wrongs.flatMap(([what, wrong]) => {
    const fault = misbehaves(live(wrong));
    return fault === null ? [] : [`answers ${what}: ${fault}`];
  });
  checks.push(
    faults[0] === undefined
      ? passed('wrong answers', wrongs.map(([what]) => what).join(', '))
      : failed('wrong answers', faults[0]),
  );
  return checks;
}

export function checkTalk(subject: Subject): TalkChecked {
  if (!subject.talks) return { checks: [passed('talk', 'it only listens')], readings: [] };
  const spanMs = spanOf(subject.adapter.manifest.intervalMs);
  const lived = liveThrough(subject.adapter, subject.station(), spanMs);
  const checks = [checkAnswers(subject, lived), ...checkWrong(subject, spanMs)];
  return { checks, readings: lived.readings.map(({ reading }) => reading) };
}
