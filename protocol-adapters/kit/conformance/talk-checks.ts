/**
 * Talks: only listed questions, and readings at the promised pace from a station that answers.
 */
import { complete } from '../complete.ts';
import type { DecodedReading } from '../reading.ts';
import { broken } from './decode-checks.ts';
import { failed, passed, pending, type Subject } from './subject.ts';
import { type Lived, liveThrough } from './talk-bench.ts';
import type { Check } from './terms.ts';
import { checkWrong, misbehaves } from './wrong-answers.ts';

const NEEDS_EXCHANGE =
  'needs samples with `asked`, or a capture of both ways: record one with `wattkeep adapter capture`';
/** Grown with the interval, so that slow stations are asked often enough too. */
const spanOf = (intervalMs: number): number => Math.min(86_400_000, Math.max(60_000, 20 * intervalMs));

export interface TalkChecked {
  readonly checks: readonly Check[];
  /** What the talk gave with a station that answers. */
  readonly readings: readonly DecodedReading[];
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

export function checkTalk(subject: Subject): TalkChecked {
  if (!subject.talks) return { checks: [passed('talk', 'it only listens')], readings: [] };
  const spanMs = spanOf(subject.adapter.manifest.intervalMs);
  const lived = liveThrough(subject.adapter, subject.station(), spanMs);
  const checks = [checkAnswers(subject, lived), ...checkWrong(subject, spanMs)];
  return { checks, readings: lived.readings.map(({ reading }) => reading) };
}
