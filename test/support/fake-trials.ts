/** What the fake agent answers of trials: as they stand, and changed by an owner's word. */
import type { TrialChange, TrialStart } from '#messages';
import type { FakeData, Reply } from './fake-agent.ts';
import { trialOf } from './trials.ts';

export function trialsReply(
  data: FakeData,
  method: string,
  { id, what, url }: { id: string | undefined; what: string | undefined; url: URL },
  body: unknown,
): Reply {
  const ok = (value: unknown): Reply => ({ status: 200, value });
  const { trials } = data.trials;
  if (id === undefined && method === 'POST') {
    const { station, options, conditions } = body as TrialStart;
    const waiting = { phase: 'waiting', waitsFor: 'full', endsBecause: null, beganAt: null, endedAt: null } as const;
    const startedAt = new Date(data.nowAt).toISOString();
    const trial = trialOf(`${station}-new`, options, null, { conditions, startedAt, judgement: waiting });
    trials.unshift(trial);
    return ok({ trial });
  }
  if (id === undefined) {
    const station = url.searchParams.get('station');
    return ok({ ...data.trials, trials: trials.filter(trial => station === null || trial.station === station) });
  }
  if (id === 'compare') return ok(data.compare(url.searchParams.get('ids')!.split(',')));
  if (what === 'report' || id === 'report') return { status: 200, value: '<h1>Report</h1>', type: 'text/html' };
  const trial = trials.find(one => one.id === id);
  const error = { code: 'TRIAL_UNKNOWN', message: 'There is no such trial.', fix: 'Look at the list.' };
  if (trial === undefined) return { status: 404, value: { error } };
  const at = new Date(data.nowAt).toISOString();
  const change = method === 'PUT' ? (body as TrialChange) : null;
  if (change?.do === 'step') trial.steps.push({ at, step: change.step });
  if (change?.do === 'meter') trial.typed.push({ at, energyWh: change.energyWh });
  if (change?.do === 'end') Object.assign(trial.judgement, { phase: 'interrupted', endsBecause: 'owner', endedAt: at });
  if (change?.do === 'remove') trials.splice(trials.indexOf(trial), 1);
  return ok({ trial });
}
