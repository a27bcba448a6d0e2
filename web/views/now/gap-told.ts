/** Why nothing was recorded: asked once there is a gap to explain, or silence. What the owner told goes before the rest. */
import { SpansAnswer } from '#messages';
import type { ReasonOf } from '../../charts/now-picture.ts';
import type { Times } from '../../format.ts';
import type { AgentApi } from '../../state/api.ts';
import { reasonOf } from '../../state/gap-reasons.ts';
import { gapText, stillAway } from '../../words/spans.ts';

export interface GapsTold {
  readonly station: string;
  readonly reasonOf: ReasonOf;
  /** One sentence for a station that is lent or travels now; '' where it does neither. */
  away(times: Times, nowAt: number): string;
}

const AWAY = ['lent', 'travelling'];

/** @returns null where the agent did not answer */
export async function gapsTold(api: AgentApi, station: string, fromMs: number, toMs: number): Promise<GapsTold | null> {
  const iso = (ms: number) => new Date(ms).toISOString();
  const address = `/api/stations/${encodeURIComponent(station)}/spans?from=${iso(fromMs)}&to=${iso(toMs)}`;
  const answer = await api.ask(SpansAnswer, address);
  if (!answer.ok) return null;
  const spans = answer.value.spans.map(({ reason, fromAt, toAt, note }) => ({
    reason,
    note,
    fromMs: Date.parse(fromAt),
    toMs: toAt === null ? null : Date.parse(toAt),
  }));
  const gone = spans.find(({ reason, toMs: end }) => end === null && AWAY.includes(reason));
  return {
    station,
    reasonOf(gap) {
      const span = reasonOf(gap, spans);
      return span === null ? null : gapText(span.reason, span.note);
    },
    away: (times, nowAt) =>
      gone === undefined ? '' : stillAway(gapText(gone.reason, gone.note), times.moment(gone.fromMs, nowAt, true)),
  };
}
