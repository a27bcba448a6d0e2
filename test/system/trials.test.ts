/** Trials through the whole agent: begun, killed, taken up again, ended and reported; by the verb, with and without it. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { FirstWeekAnswer, TrialAnswer, TrialsAnswer, YearsAnswer } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { verb } from '../support/yard-agent.ts';

/** Full, with a lamp on, a reading a fifth of a second. */
const STATION = `let pct = 100;
setInterval(() => {
  pct = Math.max(0, pct - 0.005);
  console.log(JSON.stringify({ stateOfChargePct: Math.round(pct), inputPowerW: 0, outputPowerW: 60, acOutputPowerW: 60 }));
}, 200);`;

const settings = (program: string) => `
[record]
commitIntervalS = 1

[[station]]
id = "shed"
name = "Honey shed"
transport = { kind = "process", command = [${[process.execPath, '-e', program].map(one => JSON.stringify(one)).join(', ')}] }
ratedWh = 1000
boughtOn = "2026-01-02"
returnBy = "2027-01-02"
place = { latitudeDeg = 45.4321, longitudeDeg = 9.8765 }
warranty = { thresholdPct = 70 }
`;

describe('trials with the whole agent', () => {
  let folders: Folders;
  let agent: AgentProcess;
  beforeAll(async () => {
    folders = freshFolders(settings(STATION));
    agent = await startAgentProcess(folders);
  });
  afterAll(async () => {
    await agent.end();
    folders.remove();
  });

  /** A verb is waited for without turning: what the agent let go of meanwhile has to be noticed first. */
  const get = async (path: string) => {
    await new Promise(resolve => setTimeout(resolve, 20));
    return fetch(new URL(path, agent.url));
  };
  const one = async (id: string) => (await agent.api<TrialAnswer>(`/api/trials/${id}`)).trial;
  let id = '';

  it('begins by the verb, goes on after a kill, and is ended with nothing lost', async () => {
    const begun = verb(folders, 'trial', 'start', 'usable', '--floor', '20', '--load', 'Lamp', '--json');
    expect([begun.status, begun.stderr]).toEqual([0, '']);
    id = begun.json<TrialAnswer>().trial.id;
    expect((await one(id)).conditions).toEqual({ load: 'Lamp' });
    const before = await one(id);
    expect(await agent.end('SIGKILL')).toBeNull();

    // Looked at while no agent runs: the record says it all.
    expect(verb(folders, 'trial', 'list').stdout).toContain(id);
    expect(verb(folders, 'trial', 'end', id).stderr).toContain('AGENT_AWAY');

    agent = await startAgentProcess(folders);
    const after = await one(id);
    expect({ ...after, judgement: null }).toEqual({ ...before, judgement: null });
    expect(['waiting', 'running']).toContain(after.judgement.phase);
    const change = await agent.change('PUT', `/api/trials/${id}`, { do: 'end' });
    expect(((await change.json()) as TrialAnswer).trial.judgement).toMatchObject({ endsBecause: 'owner' });
    expect((await one(id)).judgement.phase).toBe('interrupted');
  });

  it('lists, shows and compares by the verb as over HTTP, refuses what there is not', async () => {
    const { trials, kinds, notMeasurable } = await agent.api<TrialsAnswer>('/api/trials?station=shed');
    expect(trials.map(trial => trial.id)).toEqual([id]);
    expect(kinds.find(({ kind }) => kind === 'solar')!.missing).toEqual([]);
    expect(notMeasurable.map(({ kind }) => kind)).toEqual(['switchOver', 'surge']);
    expect(verb(folders, 'trial', 'show', id, '--json').json<TrialAnswer>().trial).toEqual(await one(id));
    expect(verb(folders, 'trial', 'show', 'shed-usable-260101-aaaaaa').stderr).toContain('There is no trial');
    expect(verb(folders, 'trial', 'start', 'surge')).toMatchObject({ status: 2 });
    expect(verb(folders, 'trial', 'start', 'usable', '--loads', '4').stderr).toContain('USAGE');
    expect(verb(folders, 'trial', 'compare', id).stdout).toContain('no figure in common');
    expect(verb(folders, 'trial', '--help').stdout).toContain('usage: wattkeep trial list');
  });

  it('reports without the place and the clock, the same by the verb; the first week ends by its date', async () => {
    const page = await (await get(`/api/trials/${id}/report`)).text();
    expect(page).toContain(`<code>${id}</code>`);
    for (const secret of ['45.4321', '9.8765']) expect(page).not.toContain(secret);
    const out = join(folders.dir, 'report.html');
    expect(verb(folders, 'trial', 'report', id, '--out', out, '--large')).toMatchObject({ status: 0 });
    expect(readFileSync(out, 'utf8')).toContain('class="large"');
    const csv = await get(`/api/trials/${id}/samples.csv`);
    expect(csv.headers.get('content-disposition')).toContain(`${id}.csv`);
    expect((await csv.text()).split('\r\n')[0]).toContain('outputPowerW');
    const week = await agent.api<FirstWeekAnswer>('/api/stations/shed/first-week');
    expect(week).toMatchObject({
      returnBy: '2027-01-02',
      steps: expect.arrayContaining([expect.objectContaining({ do: 'decide', date: '2027-01-01' })]),
    });
    const years = await agent.api<YearsAnswer>('/api/stations/shed/years');
    expect(years.warranty).toMatchObject({ thresholdPct: 70, untilAt: null, cycles: null, verdict: 'cannotSay' });
  });
});
