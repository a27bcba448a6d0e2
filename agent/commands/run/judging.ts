/**
 * Judges a station's own past in a process of its own, one at a time: what is asked for, how far it has come, and the
 * last result of each station, kept for as long as the agent runs.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { WattkeepError } from '#kit';
import type { JudgingAnswer } from '#messages';
import type { Log } from '../../log/log.ts';
import type { JudgeLine, JudgeOrder } from './judge-child.ts';

export interface Judging {
  /** Begins; nothing where it is under way. Throws WattkeepError REQUEST_INVALID while another station is judged. */
  begin(order: JudgeOrder): void;
  of(station: string): JudgingAnswer;
  /** Ends what is under way; settles once it holds the record no more. Idempotent. */
  close(): Promise<void>;
}

const NEVER: JudgingAnswer = { state: 'never', share: 0, judged: null };

/** @param entry the built judge-child.js */
export function createJudging(entry: string, log: Log): Judging {
  const answers = new Map<string, JudgingAnswer>();
  let running: { station: string; child: ChildProcess } | null = null;
  let gone: Promise<unknown> = Promise.resolve();

  const of = (station: string) => answers.get(station) ?? NEVER;
  const put = (station: string, change: Partial<JudgingAnswer>) =>
    void answers.set(station, { ...of(station), ...change });

  return {
    of,
    begin(order) {
      const { id } = order.station;
      if (running?.station === id) return;
      if (running !== null)
        throw new WattkeepError(
          'REQUEST_INVALID',
          'The past of another station is being judged.',
          'Ask again when it is done.',
        );
      const child = spawn(process.execPath, [entry], { stdio: ['pipe', 'pipe', 'pipe'] });
      // Not as an argument: those are seen by everybody on this computer. One that ended before it read has said why.
      child.stdin.on('error', () => undefined);
      child.stdin.end(JSON.stringify(order));
      running = { station: id, child };
      put(id, { state: 'running', share: 0 });
      let complaint = '';
      child.stderr.on('data', text => {
        complaint = `${complaint}${text}`.slice(-2000);
      });
      createInterface({ input: child.stdout }).on('line', text => {
        const line = JSON.parse(text) as JudgeLine;
        if (!('judged' in line)) return put(id, { share: line.share });
        put(id, { state: 'done', share: 1, judged: line.judged });
        over();
      });
      const over = () => {
        if (running?.child === child) running = null;
      };
      const ended = (why: string) => {
        if (running?.child !== child) return;
        over();
        put(id, { state: 'failed' });
        if (!child.killed) log.error('judging', 'the past could not be judged', { station: id, why });
      };
      child.once('error', error => ended(error.message));
      // After the last line was heard.
      const closed = new Promise<void>(resolve => child.once('close', () => resolve()));
      void closed.then(() => ended(complaint.trim()));
      // One whose answer has come takes a moment to end.
      gone = Promise.all([gone, closed]);
    },
    async close() {
      running?.child.kill();
      await gone;
    },
  };
}
