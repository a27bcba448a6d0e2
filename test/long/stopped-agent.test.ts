import { join } from 'node:path';
import { expect, onTestFinished, test } from 'vitest';
import { type AgentProcess, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { countingStation, endAgents, pause, savedAt } from '../support/ended-agents.ts';
import { openTestRecord } from '../support/record.ts';

const STANDS_STILL_MS = 14_000;

async function untilSavedAnew(agent: AgentProcess): Promise<void> {
  const before = await savedAt(agent);
  while ((await savedAt(agent)) === before) await pause(50);
}

test(
  'an agent that is ended at any moment ends cleanly, leaves one file, and keeps what was told to be saved',
  () => endAgents(6),
  240_000,
);

test('an agent that stands still for a while records a gap of that length and counts nothing over it', async () => {
  const folders = freshFolders(countingStation(200));
  onTestFinished(() => folders.remove());
  const agent = await startAgentProcess(folders);
  onTestFinished(() => void agent.child.kill('SIGKILL'));
  await untilSavedAnew(agent);
  await untilSavedAnew(agent);
  agent.child.kill('SIGSTOP');
  await pause(STANDS_STILL_MS);
  agent.child.kill('SIGCONT');
  await untilSavedAnew(agent);
  await untilSavedAnew(agent);
  expect(await agent.end()).toBe(0);
  const record = openTestRecord(join(folders.data, 'record'));
  const { fromMs, toMs } = record.extent('shed')!;
  const gaps = record.spans('shed', fromMs, toMs).filter(span => span.reason === 'noReading');
  const gapMs = gaps[0]!.toMs! - gaps[0]!.fromMs;
  expect(gaps).toHaveLength(1);
  expect(gapMs).toBeGreaterThanOrEqual(STANDS_STILL_MS - 1_000);
  const [day] = record.days('shed', '', '9');
  expect(day).toMatchObject({ gapMs, coveredMs: toMs - fromMs - gapMs });
  // Energy is that of the recorded time alone: between two readings, the mean of both.
  const readings = [...record.readings('shed', fromMs, toMs + 1)];
  const joules = readings.slice(1).map(({ at, quantities }, i) => {
    const before = readings[i]!;
    const spanMs = at - before.at;
    return spanMs === gapMs ? 0 : ((quantities.inputPowerW! + before.quantities.inputPowerW!) / 2) * spanMs;
  });
  expect(Math.abs(day!.inputMilliJ - joules.reduce((sum, one) => sum + one, 0))).toBeLessThan(readings.length);
  // What waited in the line meanwhile comes once, each with a number of its own.
  const seqs = readings.map(({ seq }) => seq);
  expect(seqs).toEqual(seqs.map((_, i) => seqs[0]! + i));
}, 120_000);
