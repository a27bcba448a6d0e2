/**
 * The sentence of the Now view and the line under it, from one situation. Pure: every state of link, reading and
 * projection has its own words, and nothing is promised from readings that no longer hold.
 */
import type { WireStatus } from '#messages';
import { asText, spanText } from '../../format.ts';
import { ageMs } from '../../state/freshness.ts';
import * as words from '../../words.ts';
import type { partsTold } from './parts-told.ts';
import { projectionSentence } from './projection-sentence.ts';
import { mayPromise, type Situation } from './situation.ts';

/** A stretch of the line under the sentence; strong ones are set in ink. */
export interface Piece {
  text: string;
  strong?: true;
}

export interface Sentence {
  headline: string;
  sure: Piece[];
  /** Changes only when the meaning does; screen readers are told then. */
  meaning: string;
  /** What the view offers beside the words. */
  offers: 'nothing' | 'why' | 'setup' | 'retry' | 'takeUp' | 'retryAgent' | 'steps';
}

export const plain = (text: string): Piece[] => (text === '' ? [] : [{ text }]);
export const strong = (text: string): Piece => ({ text, strong: true });

/** @param told says what of missing parts; null while its words are not there */
export function sentenceOf(s: Situation, told: typeof partsTold | null): Sentence {
  const sentence = ofSituation(s);
  if (s.freshness !== 'live' && s.freshness !== 'typed' && s.freshness !== 'stale') return sentence;
  // What readings lack, that they come over a link which keeps breaking or stand still, is said beside them, once.
  const beside = [
    ...(told?.(s) ?? []),
    ...(s.live?.status?.failure === 'unsteady' ? [words.UNSTEADY] : []),
    ...unchanged(s),
  ];
  if (beside.length === 0) return sentence;
  const lacking = s.live?.status?.parts?.filter(part => part.missing).map(part => part.name) ?? [];
  return {
    ...sentence,
    sure: [...sentence.sure, ...beside.map(text => ({ text: ` ${text}` }))],
    meaning: [sentence.meaning, ...lacking, s.live?.status?.failure ?? ''].join(' ').trim(),
  };
}

/** Of readings that are not held for new anyway it is not said. */
function unchanged({ live, freshness, nowMs, formats }: Situation): string[] {
  const forMs = live?.status?.unchangedMs;
  if (forMs === undefined || freshness !== 'live') return [];
  return [words.unchangedFor(spanText(forMs + nowMs - live!.statusMs, d => formats.number(d, 0)))];
}

function ofSituation(s: Situation): Sentence {
  const { live } = s;
  if (live === null) return withoutStation(s);
  if (s.connection.phase === 'lost') return agentLost(s);
  if (s.freshness === 'disconnected') return stationLost(s);
  if (s.freshness === 'none') {
    const link = live.status?.link ?? '';
    const sure = live.status?.phase === 'typed' ? words.WAITING_TYPED : words.waitingSure(link);
    return {
      headline: words.waitingFirst(live.station.name),
      sure: plain(sure),
      meaning: 'waiting',
      offers: 'nothing',
    };
  }
  if (s.freshness === 'stale') return stale(s);
  if (mayPromise(s)) return projectionSentence(s, live.projection!);
  return {
    headline: words.cannotSay.waiting.sentence,
    sure: plain(words.cannotSay.waiting.sure),
    meaning: 'early',
    offers: 'nothing',
  };
}

function withoutStation(s: Situation): Sentence {
  if (s.connection.phase === 'lost') return agentLost(s);
  if (!s.helloHeard) {
    return { headline: words.CONNECTING, sure: plain(words.CONNECTING_SURE), meaning: 'connecting', offers: 'nothing' };
  }
  return { headline: words.NO_STATION, sure: plain(words.NO_STATION_SURE), meaning: 'none', offers: 'steps' };
}

function agentLost(s: Situation): Sentence {
  const age = s.live === null ? null : ageMs(s.live, s.nowMs);
  const waitMs = s.connection.phase === 'lost' ? s.connection.retryAtMs - s.nowMs : 0;
  return {
    headline: words.AGENT_GONE,
    sure: [
      ...plain(words.agentGoneSure(age === null ? null : spanText(age, d => s.formats.number(d, 1)))),
      { text: ` ${countdown(waitMs)}` },
    ],
    meaning: 'agentGone',
    offers: 'retryAgent',
  };
}

const countdown = (ms: number): string =>
  ms < 500 ? words.TRYING_NOW : words.tryingIn(spanText(Math.ceil(ms / 1000) * 1000, d => String(Math.round(d))));

/** Nothing is wrong with the station: the owner has to say a word first. */
function adapterHeld(headline: string, status: WireStatus): Sentence {
  return {
    headline,
    sure: plain(words.heldSure(status.link, status.detail ?? '', status.failure)),
    meaning: `held ${status.failure}`,
    offers: 'setup',
  };
}

/** By the owner's word: nothing is wrong. */
function letGo(s: Situation, { phase, nextTryInMs }: WireStatus): Sentence {
  const leftMs = Math.max(0, (nextTryInMs ?? 0) - (s.nowMs - s.live!.statusMs));
  const span = spanText(Math.ceil(leftMs / 1000) * 1000, d => String(Math.round(d)));
  return {
    headline: phase === 'away' ? words.AWAY : words.RELEASED,
    sure: plain(phase === 'away' ? words.AWAY_SURE : words.releasedSure(span)),
    meaning: phase,
    offers: 'takeUp',
  };
}

function stationLost(s: Situation): Sentence {
  const status = s.live!.status!;
  const held = words.heldSentence(status.failure);
  if (held !== null) return adapterHeld(held, status);
  if (status.phase === 'released' || status.phase === 'away') return letGo(s, status);
  const { transport } = s.live!.station;
  const parts = [words.whatHappened(status.link, status.detail), words.whatToDo(status.failure, transport)];
  if (status.phase === 'parked') parts.push(words.GIVEN_UP);
  else {
    parts.push(words.attemptOf(status.attempt, status.attemptsAllowed));
    const since = s.live!.statusMs;
    if (status.nextTryInMs !== null) parts.push(countdown(status.nextTryInMs - (s.nowMs - since)));
  }
  return {
    headline: words.disconnected(status.failure, transport),
    sure: plain(parts.filter(part => part !== '').join(' ')),
    meaning: `disconnected ${status.failure} ${status.phase}`,
    offers: 'retry',
  };
}

function stale(s: Situation): Sentence {
  const age = ageMs(s.live!, s.nowMs)!;
  const percent = s.live!.reading!.wire.quantities.stateOfChargePct ?? null;
  const limit = s.live!.status?.staleAfterMs ?? null;
  return {
    headline: words.staleSentence(spanText(age, d => s.formats.number(d, 1))),
    sure: plain(
      words.staleSure(
        percent === null ? null : asText(s.formats.percent(percent)),
        limit === null ? null : spanText(limit, d => s.formats.number(d, 0)),
      ),
    ),
    meaning: 'stale',
    offers: 'nothing',
  };
}
