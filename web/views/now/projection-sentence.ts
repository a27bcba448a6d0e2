/**
 * The sentence of a projection: the careful end first, rounded to the careful side by a step that grows with the
 * range; then how sure, on what assumption, and when the outlets would stop.
 */
import type { WireProjection } from '#messages';
import { asText, partOfDay, roundingStepMs, roundMoment, spanText } from '../../format.ts';
import { ageMs } from '../../state/freshness.ts';
import * as words from '../../words.ts';
import type { Piece, Sentence } from './sentence.ts';
import type { Situation } from './situation.ts';

/** Moments of a range, epoch ms; null lies past what can be said. */
export interface Range {
  p10: number;
  p50: number | null;
  p90: number | null;
}

/** The range as it is told: rounded, the ends outward, the careful one first. */
export function toldRange(moments: { p10: string; p50: string | null; p90: string | null }, zone: string): Range {
  const p10 = Date.parse(moments.p10);
  const p50 = moments.p50 === null ? null : Date.parse(moments.p50);
  const p90 = moments.p90 === null ? null : Date.parse(moments.p90);
  const step = roundingStepMs((p90 ?? p50 ?? p10) - p10);
  return {
    p10: roundMoment(p10, step, 'down', zone),
    p50: p50 === null ? null : roundMoment(p50, step, 'near', zone),
    p90: p90 === null ? null : roundMoment(p90, step, 'up', zone),
  };
}

export function projectionSentence(s: Situation, projection: WireProjection): Sentence {
  const told = core(s, projection);
  const sure = [...told.sure, ...after(s, projection)];
  if (!projection.onMains || projection.toward === 'none' || projection.toward === 'full') return { ...told, sure };
  return { ...told, headline: words.ifPowerFailed(told.headline), sure, meaning: `mains ${told.meaning}` };
}

const said = (headline: string, sure: string, meaning: string, offers: Sentence['offers']): Sentence => ({
  headline,
  sure: [{ text: sure }],
  meaning,
  offers,
});

function core(s: Situation, p: WireProjection): Sentence {
  const part = partOfDay(s.nowAt!, s.times.zone);
  if (p.toward === 'empty' && p.emptyAt !== null) return lasting(s, p, part);
  if (p.toward === 'full' && p.why !== 'atFull' && p.fullAt !== null) return filling(s, p, part);
  if (p.why === 'atFull') {
    const percent = asText(s.formats.percent(s.live!.reading!.wire.quantities.stateOfChargePct ?? null));
    return said(words.fullNow(percent), words.FULL_SURE, 'full', 'why');
  }
  if (p.why === 'atFloor') return atFloor(s, p);
  if (p.toward === 'steady') return said(words.STEADY, words.steadySure(part), 'steady', 'why');
  if (p.why === 'ok' || p.why === 'stale') {
    const { sentence, sure } = p.why === 'ok' ? words.cannotSay.waiting : words.cannotSay.stale;
    return said(sentence, sure, 'early', 'nothing');
  }
  const { sentence, sure } = words.cannotSay[p.why];
  return said(sentence, sure + byLabel(s, p), p.why, p.why === 'noRatedWh' ? 'setup' : 'nothing');
}

/** The label's own range, told for what it is, where nothing was learned yet. */
function byLabel(s: Situation, p: WireProjection): string {
  if (p.byLabel === null) return '';
  const { p10, p90 } = toldRange(p.byLabel, s.times.zone);
  const name = namer(s);
  return p90 === null ? '' : words.byLabel(name(p10), name(p90));
}

function atFloor(s: Situation, p: WireProjection): Sentence {
  const told = said(words.atFloor(asText(s.formats.percent(p.floorPct))), words.AT_FLOOR_SURE, 'atFloor', 'why');
  if (p.stopsAt === null) return told;
  const { p10 } = toldRange(p.stopsAt, s.times.zone);
  return {
    ...told,
    sure: [{ text: `${words.belowFloorStops(s.times.moment(p10, s.nowAt!))} ${words.AT_FLOOR_SURE}` }],
  };
}

/** Names moments one after the other: the day is said again only when it differs from the one said last. */
function namer(s: Situation) {
  let lastDate = s.times.date(s.nowAt!);
  return (at: number): string => {
    const date = s.times.date(at);
    const text = date === lastDate ? s.times.time(at) : s.times.moment(at, s.nowAt!);
    lastDate = date;
    return text;
  };
}

function lasting(s: Situation, p: WireProjection, part: string): Sentence {
  const range = toldRange(p.emptyAt!, s.times.zone);
  const name = namer(s);
  const careful = name(range.p10);
  const headline = range.p50 === null ? words.lastsLong(careful) : words.lasts({ careful, likely: name(range.p50) });
  return {
    headline,
    sure: [
      ...between(s, range.p10, range.p90, part),
      { text: words.thenFloor(asText(s.formats.percent(p.floorPct))) },
      ...outlets(s, p),
    ],
    meaning: `empty ${range.p10} ${range.p50}`,
    offers: 'why',
  };
}

function filling(s: Situation, p: WireProjection, part: string): Sentence {
  const range = toldRange(p.fullAt!, s.times.zone);
  const full = p.ceilingPct >= 99.5 ? words.FULL : words.atCeiling(asText(s.formats.percent(p.ceilingPct)));
  const name = namer(s);
  const headline =
    range.p90 === null
      ? words.fillsLater(name(range.p50 ?? range.p10), full)
      : words.fills({ careful: name(range.p90), likely: range.p50 === null ? null : name(range.p50) }, full);
  const sun = p.assumptions.sunUntilAt;
  return {
    headline,
    sure: [
      ...between(s, range.p10, range.p90, part),
      ...(sun === null ? [] : [{ text: words.untilSunset(s.times.moment(Date.parse(sun), s.nowAt!)) }]),
    ],
    meaning: `full ${range.p90} ${range.p50}`,
    offers: 'why',
  };
}

function between(s: Situation, low: number, high: number | null, part: string): Piece[] {
  const name = namer(s);
  const { lead, and, onlyLow } = words.betweenWords;
  const pieces: Piece[] = [{ text: high === null ? onlyLow : lead }, { text: name(low), strong: true }];
  if (high !== null) pieces.push({ text: and }, { text: name(high), strong: true });
  return [...pieces, { text: words.assuming(part) }];
}

function outlets(s: Situation, p: WireProjection): Piece[] {
  const stops = p.stopsAt === null ? null : toldRange(p.stopsAt, s.times.zone);
  const at = stops?.p50 ?? null;
  if (at === null) return [{ text: words.outletsStopUnknown }];
  return [{ text: words.outletsStop }, { text: namer(s)(at), strong: true }, { text: '.' }];
}

/** What is added to any projection: early, typed, an outage, a fault. */
function after(s: Situation, p: WireProjection): Piece[] {
  const added: string[] = [];
  const reading = s.live!.reading!.wire;
  // Where nothing is promised yet the sentence says so itself.
  if (p.early && p.toward !== 'none') added.push(words.EARLY);
  for (const doubt of p.doubts) added.push(words.doubts[doubt]);
  if (s.freshness === 'typed') added.push(words.typedBefore(spanText(ageMs(s.live!, s.nowMs)!)));
  if (s.outage !== null && s.outage.endedAt === null)
    added.push(words.outageSince(s.times.moment(s.outage.startedAt, s.nowAt!)));
  if (reading.states.fault !== undefined) added.push(words.faultTold(reading.states.fault));
  return added.map(text => ({ text }));
}
