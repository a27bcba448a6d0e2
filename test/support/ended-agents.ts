/** An agent that is asked to end at random moments, now and then while it reads for a page: what it leaves is judged each time. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { expect, onTestFinished } from 'vitest';
import type { WireHealth } from '#messages';
import { type AgentProcess, freshFolders, startAgentProcess } from './agent-process.ts';
import { openTestRecord } from './record.ts';
import { seededRandom } from './seeded-random.ts';

/** A station that tells a line so often, numbered by its watts, and an agent that saves each second. */
export const countingStation = (everyMs: number): string => {
  const lines = `let n = 0; setInterval(() => console.log(JSON.stringify({ inputPowerW: ++n, outputPowerW: 40, stateOfChargePct: 50 })), ${everyMs})`;
  return (
    '[record]\ncommitIntervalS = 1\n[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 1000\nzone = "UTC"\n' +
    `transport = { kind = "process", command = ${JSON.stringify([process.execPath, '-e', lines])} }\n`
  );
};

export const pause = (ms: number): Promise<void> => new Promise(resolve => setTimeout(resolve, ms));

export const savedAt = async (agent: AgentProcess): Promise<string | null> =>
  (await agent.api<WireHealth>('api/health')).saved.lastSavedAt;

const LEDGER = 'api/stations/shed/ledger?from=2000-01-01&to=2100-01-01';

export async function endAgents(rounds: number): Promise<void> {
  const folders = freshFolders(countingStation(100));
  onTestFinished(() => folders.remove());
  const seed = Date.now() % 2 ** 31;
  console.log(`ended agents: seed ${seed}`);
  const random = seededRandom(seed);
  const left: string[] = [];
  for (let round = 0; round < rounds; round++) {
    const agent = await startAgentProcess(folders);
    onTestFinished(() => void agent.child.kill('SIGKILL'));
    const asked = round % 2 === 0 ? null : agent.api(LEDGER).catch(() => null);
    let saved: string | null = null;
    for (const endAt = performance.now() + random() * 2_500; performance.now() < endAt; await pause(20))
      saved = (await savedAt(agent)) ?? saved;
    expect(await agent.end(round % 4 === 0 ? 'SIGINT' : 'SIGTERM')).toBe(0);
    await asked;
    for (const end of ['-wal', '-shm'])
      if (existsSync(join(folders.data, 'record', `record.db${end}`))) left.push(`round ${round}: ${end}`);
    if (saved === null) continue;
    const record = openTestRecord(join(folders.data, 'record'));
    expect(record.extent('shed')!.toMs).toBeGreaterThanOrEqual(Date.parse(saved));
    record.close();
  }
  expect(left).toEqual([]);
}
