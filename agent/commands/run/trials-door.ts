/**
 * Trials of the running agent. What the owner says is kept before it is answered; judgements are asked of the process
 * that reads the record, so that columns and judges never lie in the agent's own memory. A judgement that says that a
 * trial is over is kept as it was told.
 */
import type { Clock, Timers } from '#kit';
import type { KeptTrial, LiveMessage, TrialChange, TrialStart, WireJudgement } from '#messages';
import type { Log } from '../../log/log.ts';
import type { TrialsDoor } from '../../server/deps.ts';
import type { TrialsKnown } from '../trials/known.ts';
import type { LiveJudgement, TrialsQuestion } from '../trials/pieces.ts';
import { type Holding, recordDir } from './holding.ts';
import type { ReadingDesk } from './reading/desk.ts';
import { repeat } from './repeat.ts';
import type { Watch } from './watch.ts';

/** Live trials are looked at so often; pages are told where something has become of one, and ask then. */
const LOOK_EVERY_MS = 10_000;
/** Several pages that ask share one judgement. */
const FRESH_MS = 2_000;

export interface TrialsParts {
  readonly desk: Pick<ReadingDesk, 'ask'>;
  readonly holding: Pick<Holding, 'demo' | 'record'> & { readonly watch: Pick<Watch, 'keep'> };
  readonly dataDir: string;
  readonly timers: Timers;
  readonly clock: Pick<Clock, 'nowMs'>;
  readonly log: Pick<Log, 'error'>;
  known(): TrialsKnown;
  publish(message: LiveMessage): void;
}

export interface RunningTrials extends TrialsDoor {
  close(): void;
}

export function openTrials({ desk, holding, dataDir, timers, clock, log, known, publish }: TrialsParts): RunningTrials {
  /** All that is live, as it was told last. */
  let toldLast = '[]';
  let judged: { at: number; of: Promise<readonly LiveJudgement[]> } | null = null;

  const ask = (question: TrialsQuestion) => {
    const { demo } = holding;
    const asked = { what: 'trials' as const, question, known: known() };
    return desk.ask({ dir: recordDir(dataDir, demo), demo, nowMs: clock.nowMs(), asked });
  };

  async function whole<T>(question: TrialsQuestion): Promise<T> {
    const pieces: Uint8Array[] = [];
    for await (const piece of ask(question)) pieces.push(piece);
    return JSON.parse(Buffer.concat(pieces).toString()) as T;
  }

  async function judgeNow(): Promise<readonly LiveJudgement[]> {
    const live = await whole<LiveJudgement[]>({ do: 'judge' });
    const { isOver } = await import('../../trials/life.ts');
    const over = live.filter(({ judgement }) => isOver(judgement));
    if (over.length > 0) await keep(over);
    return live;
  }

  /** What came to its end, as it was told. */
  async function keep(over: readonly LiveJudgement[]): Promise<void> {
    const { record, watch } = holding;
    const { ended } = await import('../../trials/changes.ts');
    for (const { id, judgement } of over) {
      const trial = record.trial(id);
      // Removed, or kept, while it was judged.
      if (trial === null || trial.removedAt !== null || trial.judgementJson !== null) continue;
      watch.keep(ended(trial, judgement, known().version));
    }
  }

  /** Of all live trials; none where there are none, without any process being started. */
  function liveNow(): Promise<readonly LiveJudgement[]> {
    if (holding.record.liveTrials().length === 0) return Promise.resolve([]);
    const nowMs = clock.nowMs();
    if (judged === null || nowMs - judged.at > FRESH_MS || nowMs < judged.at) {
      const of = judgeNow();
      judged = { at: nowMs, of };
      of.catch(() => {
        judged = null;
      });
    }
    return judged.of;
  }

  async function toldOf(trials: readonly KeptTrial[]) {
    const { wireTrial } = await import('../../trials/told.ts');
    const judgements = new Map<string, WireJudgement>();
    if (trials.some(({ judgementJson }) => judgementJson === null))
      for (const { id, judgement } of await liveNow()) judgements.set(id, judgement);
    const { stations } = known();
    const nameOf = (id: string) => stations.find(({ settings }) => settings.id === id)?.settings.name ?? id;
    // What came to its end while it was asked for is told as it was kept.
    return trials.map(one => {
      const trial = holding.record.trial(one.id) ?? one;
      return wireTrial(trial, nameOf(trial.station), judgements.get(trial.id) ?? null);
    });
  }

  async function find(id: string): Promise<KeptTrial> {
    const { trialOf } = await import('../../trials/life.ts');
    return trialOf(holding.record, id);
  }

  /** Pages are told by the look alone: what they ask for then would else tell them again. */
  async function look(): Promise<void> {
    const told = JSON.stringify(await liveNow());
    if (told !== toldLast) publish({ type: 'trials' });
    toldLast = told;
  }

  const stop = repeat(
    timers,
    () => LOOK_EVERY_MS,
    () => {
      look().catch((cause: unknown) => log.error('trials', 'no judgement could be made', { cause: String(cause) }));
    },
  );

  return {
    async list(station) {
      const { notMeasurable, wireKinds } = await import('../../trials/told.ts');
      const { record } = holding;
      const of = known().stations.find(({ settings }) => settings.id === station);
      const all = (station === null ? record.stations() : [station]).flatMap(id => record.trials(id));
      const trials = all.filter(({ removedAt }) => removedAt === null).sort((a, b) => b.startedAt - a.startedAt);
      return {
        kinds: wireKinds(of?.gives ?? null, of?.settings.inputSource ?? 'unknown'),
        notMeasurable: notMeasurable(),
        trials: await toldOf(trials),
      };
    },
    async one(id) {
      return { trial: (await toldOf([await find(id)]))[0]! };
    },
    async start(start: TrialStart) {
      const { beginning } = await import('../trials/beginning.ts');
      const { begun } = await import('../../trials/changes.ts');
      const { id, ...said } = begun(start, beginning(holding.record, known(), start.station, clock.nowMs()));
      holding.watch.keep(said);
      judged = null;
      publish({ type: 'trials' });
      return this.one(id);
    },
    async change(id: string, change: TrialChange) {
      const { changed } = await import('../../trials/changes.ts');
      const said = changed(await find(id), change, clock.nowMs());
      holding.watch.keep(said);
      judged = null;
      publish({ type: 'trials' });
      // Removed: told as it was left, once.
      const { wireTrial } = await import('../../trials/told.ts');
      return change.do === 'remove' ? { trial: wireTrial(said.trials[0]!, '', null) } : this.one(id);
    },
    compare: ids => ask({ do: 'compare', ids }),
    firstWeek: station => ask({ do: 'firstWeek', station }),
    years: station => ask({ do: 'years', station }),
    chart: (ids, axis) => ask({ do: 'chart', ids, axis }),
    report: (ids, show) => ask({ do: 'report', ids, show }),
    async samples(id) {
      const trial = await find(id);
      const { stretchOf } = await import('../../trials/life.ts');
      const { demo } = holding;
      const nowMs = clock.nowMs();
      const { version, stations } = known();
      const zone = stations.find(({ settings }) => settings.id === trial.station)?.zone ?? 'UTC';
      const asked = { what: 'recording' as const, format: 'csv' as const, station: trial.station, zone, version };
      const order = { dir: recordDir(dataDir, demo), demo, nowMs, asked: { ...asked, ...stretchOf(trial, nowMs) } };
      return desk.ask(order);
    },
    close: stop,
  };
}
