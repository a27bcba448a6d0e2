/** The whole agent on a disk that becomes full: live goes on, the page is told, the end is clean, saving comes back. */
import { rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import { type AgentProcess, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { fillUp } from '../support/fill-up.ts';
import { needsRoot, smallDisk } from '../support/needs-root.ts';

const TYPED =
  '[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\ntransport = { kind = "typed" }\n[record]\ncommitIntervalS = 1\n';

interface Health {
  saved: { trouble: string | null; troubleSinceAt: string | null; notes: string[] };
}

async function until<T>(ask: () => Promise<T>, holds: (told: T) => boolean): Promise<T> {
  for (let tries = 0; ; tries++) {
    const told = await ask();
    if (holds(told) || tries > 600) return told;
    await new Promise(resolve => setTimeout(resolve, 200));
  }
}

needsRoot('an agent whose disk fills up goes on live, says so, ends cleanly, and saves again with room', async () => {
  const disk = smallDisk('96m');
  const at = { ...freshFolders(TYPED), data: join(disk.dir, 'data') };
  const reserve = join(at.data, 'record', 'reserve');
  const filler = join(disk.dir, 'filler');
  const type = (agent: AgentProcess, outputPowerW: number) =>
    agent.post('api/stations/shed/typed', { inputPowerW: 0, outputPowerW, stateOfChargePct: 50 });
  const health = (agent: AgentProcess) => agent.api<Health>('api/health');
  const agent = await startAgentProcess(at);
  try {
    await type(agent, 10);
    await until(
      async () => statSync(reserve, { throwIfNoEntry: false })?.size,
      size => size === 16 * 1024 * 1024,
    );
    fillUp(filler);
    const told = await until(
      async () => {
        await type(agent, 20);
        return health(agent);
      },
      ({ saved }) => saved.trouble !== null,
    );
    expect(told.saved).toMatchObject({ trouble: 'DISK_FULL', troubleSinceAt: expect.any(String) });
    expect(told.saved.notes).toEqual([expect.stringMatching(/^Free at least \d+ MB\.$/)]);
    expect(statSync(reserve).size).toBe(0);
    await type(agent, 77);
    const now = await agent.api<{ reading: { quantities: object } }>('api/stations/shed/now');
    expect(now.reading.quantities).toMatchObject({ outputPowerW: 77 });
    expect(await agent.end()).toBe(0);
    expect(statSync(join(at.data, 'record', 'record.db-wal'), { throwIfNoEntry: false })).toBeUndefined();

    rmSync(filler);
    const again = await startAgentProcess(at);
    const kept = await again.api<{ reading: { quantities: object } }>('api/stations/shed/now');
    expect(kept.reading.quantities).toMatchObject({ outputPowerW: 77 });
    await type(again, 30);
    const after = await until(
      () => health(again),
      ({ saved }) => saved.trouble === null,
    );
    expect(after.saved.trouble).toBeNull();
    expect(statSync(reserve).size).toBe(16 * 1024 * 1024);
    expect(await again.end()).toBe(0);
  } finally {
    await agent.end('SIGKILL');
    at.remove();
  }
});
