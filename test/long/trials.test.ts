/** A trial on a station that really sends, at speed: the agent is killed twice in its middle, and it is done all the same. */
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { TrialAnswer } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { verb } from '../support/yard-agent.ts';

/** Full for 20 s, then a percent in five; its level goes by the clock, as if it lived on while nobody reads it. */
const STATION = `const began = Number(process.argv[1]);
setInterval(() => {
  const pct = Math.max(0, 100 - Math.max(0, (Date.now() - began - 20000) / 5000));
  console.log(JSON.stringify({ stateOfChargePct: Math.round(pct), inputPowerW: 0, outputPowerW: 60, acOutputPowerW: 60 }));
}, 200);`;

const command = [process.execPath, '-e', STATION, String(Date.now() + 10_000)].map(one => JSON.stringify(one));
const SETTINGS = `
[record]
commitIntervalS = 1

[[station]]
id = "shed"
name = "Honey shed"
transport = { kind = "process", command = [${command.join(', ')}] }
ratedWh = 1000
`;

let folders: Folders;
let agent: AgentProcess;
beforeAll(async () => {
  folders = freshFolders(SETTINGS);
  agent = await startAgentProcess(folders);
});
afterAll(async () => {
  await agent.end();
  folders.remove();
});

test('a trial goes on after two kills and ends by itself at its floor, with its gaps told', async () => {
  const { trial } = verb(folders, 'trial', 'start', 'usable', '--floor', '85', '--json').json<TrialAnswer>();
  const judgement = async () => (await agent.api<TrialAnswer>(`/api/trials/${trial.id}`)).trial.judgement;
  const until = async (holds: (now: Awaited<ReturnType<typeof judgement>>) => boolean) => {
    for (;;) {
      const now = await judgement();
      if (holds(now)) return now;
      await new Promise(resolve => setTimeout(resolve, 1000));
    }
  };
  const running = await until(({ phase }) => phase !== 'waiting');
  expect(running.phase).toBe('running');
  for (let kill = 0; kill < 2; kill++) {
    expect(await agent.end('SIGKILL')).toBeNull();
    agent = await startAgentProcess(folders);
    expect((await until(({ phase }) => phase !== 'waiting')).phase).toMatch(/^(running|done)$/);
  }
  const done = await until(({ phase }) => phase !== 'running');
  expect([done.phase, done.endsBecause]).toEqual(['done', 'floor']);
  expect(done.spoiledBy.every(({ what, consequence }) => what === 'gap' && consequence !== 'spoils')).toBe(true);
  const delivered = done.result!.figures.find(({ what }) => what === 'deliveredWh')!;
  const hours = (Date.parse(done.endedAt!) - Date.parse(done.beganAt!)) / 3_600_000;
  expect(delivered.low95).toBeLessThan(60 * hours);
  expect(delivered.high95).toBeGreaterThan(60 * hours);
  // Kept once: later looks tell the same.
  expect(await judgement()).toEqual(done);
}, 400_000);
