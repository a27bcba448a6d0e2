/**
 * Talks with a station that answers late, wrong or never: no reading that is not one, no throw, no flood of questions.
 */
import type { DecodedReading } from '../reading.ts';
import { doubled, late, noisy, shifted, silent, spoiled } from './station.ts';
import { failed, passed, type Subject } from './subject.ts';
import { type Lived, liveThrough, MAX_ASKS_PER_S } from './talk-bench.ts';
import type { Check, ScriptedStation } from './terms.ts';

const errorOf = ({ rejections }: Lived): string | null =>
  rejections.find(({ rejected }) => rejected === 'adapterError')?.detail ?? null;

/** Wrong in any company: an unlisted question, a throw, a flood. */
export function misbehaves(lived: Lived): string | null {
  const { unlisted, asks, spanMs, longestWaitMs } = lived;
  if (unlisted !== null) return unlisted;
  const error = errorOf(lived);
  if (error !== null) return error;
  if (longestWaitMs > 60_000) return `it waits ${longestWaitMs} ms for an answer, 60000 at most`;
  const perS = (asks / spanMs) * 1000;
  return perS > MAX_ASKS_PER_S ? `${Math.round(perS)} questions a second, ${MAX_ASKS_PER_S} at most` : null;
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

function checkSilent({ adapter, stillStation }: Subject, known: Lived): Check {
  const name = 'no answer';
  const lived = liveThrough(adapter, silent(stillStation()), known.spanMs);
  const fault = misbehaves(lived);
  if (fault !== null) return failed(name, fault);
  if (lived.readings.length > 0) return failed(name, 'readings, though nothing was answered');
  if (lived.asks <= 1 && known.asks > 1) return failed(name, 'it gives up for good after one question');
  return passed(name, `${lived.asks} questions in ${lived.spanMs / 1000} s, no reading`);
}

function checkLate({ adapter, stillStation, chance }: Subject, known: Lived): Check {
  const name = 'late answers';
  const { longestWaitMs: waitMs, spanMs } = known;
  const readings = known.readings.map(({ reading }) => reading);
  const delays = [1.05 * waitMs, 1.5 * waitMs, 3 * waitMs, waitMs + adapter.manifest.intervalMs].map(Math.round);
  for (const delayMs of delays) {
    const lived = liveThrough(adapter, late(stillStation(), delayMs, chance(name)), spanMs);
    const fault = misbehaves(lived) ?? strange(lived, readings);
    if (fault !== null) return failed(name, `answers ${delayMs} ms late: ${fault}`);
  }
  return passed(name, `none taken for another (${delays.join(', ')} ms)`);
}

function checkSpoiled({ adapter, stillStation, chance }: Subject, { spanMs }: Lived): Check {
  const name = 'wrong answers';
  const draw = chance(name);
  const wrongs: readonly (readonly [string, ScriptedStation])[] = [
    ['spoiled', spoiled(stillStation(), draw)],
    ['random', noisy(stillStation(), draw)],
    ['doubled', doubled(stillStation())],
    ["another question's", shifted(stillStation())],
  ];
  for (const [what, wrong] of wrongs) {
    const fault = misbehaves(liveThrough(adapter, wrong, spanMs));
    if (fault !== null) return failed(name, `answers ${what}: ${fault}`);
  }
  return passed(name, wrongs.map(([what]) => what).join(', '));
}

/** Each way to answer wrongly, held against the same station in order. */
export function checkWrong(subject: Subject, spanMs: number): Check[] {
  const known = liveThrough(subject.adapter, subject.stillStation(), spanMs);
  return [checkSilent(subject, known), checkLate(subject, known), checkSpoiled(subject, known)];
}
