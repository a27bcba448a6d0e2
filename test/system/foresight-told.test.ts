/** What an owner is told where the process that looks ahead does not stay. */
import { spawnSync } from 'node:child_process';
import { afterEach, describe, expect, it } from 'vitest';
import type { WireHealth } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { until } from '../support/reading-desk.ts';

const TYPED = '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\ntransport = { kind = "typed" }\n';
let agent: AgentProcess;
let at: Folders;
afterEach(async () => {
  await agent?.end('SIGKILL');
  at?.remove();
});

const doctor = () => {
  const where = ['--data', at.data, '--settings', at.settings];
  return spawnSync(process.execPath, [built('program/main.js'), 'doctor', ...where], { encoding: 'utf8' }).stdout;
};

describe.runIf(process.platform === 'linux')('a process that looks ahead and keeps ending', () => {
  it('is told of in the page’s notice and by doctor, with what it costs and what to do', async () => {
    at = freshFolders(TYPED);
    agent = await startAgentProcess(at);
    const pid = (): number | undefined => {
      const { stdout } = spawnSync('pgrep', ['-P', String(agent.child.pid), '-f', 'foresight-child'], {
        encoding: 'utf8',
      });
      return stdout.trim() === '' ? undefined : Number(stdout.trim().split('\n')[0]);
    };
    const notes = async () => (await agent.api<WireHealth>('api/health')).notes;
    expect(await notes()).toEqual([]);
    expect(doctor()).not.toMatch(/^\S+ +agent /m);
    for (let time = 0; time < 3; time++) {
      await until(() => pid() !== undefined);
      process.kill(pid()!, 'SIGKILL');
      await until(() => agent.complaints().split('the process that looks ahead ended').length === time + 2);
    }
    expect(await notes()).toEqual([expect.stringMatching(/keeps ending \(it was ended by SIGKILL\).*Start wattkeep/)]);
    expect(doctor()).toMatch(/^note +agent +What looks ahead keeps ending/m);
  });
});
