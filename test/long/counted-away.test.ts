/**
 * The whole agent killed beside a station that counts on: the shed is a process of its own on the network, the agent is
 * gone for a quarter of a minute, and the block it then tells is what the plant's own ledger says of that time.
 */
import { setTimeout as pause } from 'node:timers/promises';
import { expect, it, onTestFinished } from 'vitest';
import { MILLIJ_PER_WH } from '#energy/integrate';
import type { LedgerAnswer } from '#messages';
import { openRecord } from '../../agent/store/open.ts';
import { type AgentProcess, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { startSimulator } from '../support/simulator.ts';

const STEP_WH = 0.01;

async function untilLive(agent: AgentProcess): Promise<void> {
  for (;;) {
    const { status } = await agent.api<{ status: { phase: string } }>('api/stations/shed/now');
    if (status.phase === 'live') return;
    await pause(100);
  }
}

it('an agent killed for a while finds what the station counted meanwhile, as a block of that gap and of no day', async () => {
  const shed = startSimulator([
    '--tcp',
    '0',
    '--zone',
    'UTC',
    '--at',
    '2026-06-21T12:00:00Z',
    '--counters',
    `${STEP_WH}`,
  ]);
  onTestFinished(() => shed.stop());
  const { ready } = (await shed.ready) as { ready: { port: number } };
  const folders = freshFolders(`[record]
commitIntervalS = 1
[[station]]
id = "shed"
name = "Honey shed"
adapter = "lines"
transport = { kind = "tcp", host = "127.0.0.1", port = ${ready.port} }
ratedWh = 1500
inputSource = "sun"
zone = "UTC"
`);
  onTestFinished(() => folders.remove());
  const first = await startAgentProcess(folders);
  await untilLive(first);
  await pause(4000);
  await first.end('SIGKILL');
  await pause(14_000);
  const again = await startAgentProcess(folders);
  await untilLive(again);
  await pause(4000);
  const { atMs } = (await shed.ask('now')) as { atMs: number };
  const plantAheadMs = atMs - Date.now();
  const date = new Date().toISOString().slice(0, 10);
  const told = await again.api<LedgerAnswer>(`api/stations/shed/ledger?from=2000-01-01&to=${date}`);
  await again.end();

  const record = openRecord(`${folders.data}/record`, { nowMs: Date.now, commitIntervalMs: 0, readOnly: true });
  onTestFinished(() => record.close());
  const blocks = record.bridges('shed', 0, 8e15);
  expect(blocks.map(({ quantity, cause }) => [quantity, cause])).toEqual([
    ['outputEnergyWh', 'counted'],
    ['solarEnergyWh', 'counted'],
  ]);
  const sun = blocks[1]!;
  expect(sun.toAt - sun.fromAt).toBeGreaterThan(14_000);
  const truth = (await shed.ask(`ledger ${sun.fromAt + plantAheadMs} ${sun.toAt + plantAheadMs}`)) as {
    solarWh: number;
  };
  // The plant's clock and the agent's are told apart by a moment: a quarter of a second of 300 W.
  expect(Math.abs(sun.milliJ! / MILLIJ_PER_WH - truth.solarWh)).toBeLessThan(STEP_WH + 0.25 * (300 / 3600));
  const days = record.days('shed', '', '9');
  const harvestMilliJ = days.reduce((sum, day) => sum + day.solarMilliJ, 0);
  const countedMilliJ = record
    .counted('shed', '', '9')
    .reduce((sum, day) => sum + (day.quantity === 'solarEnergyWh' ? day.countedMilliJ : 0), 0);
  expect(days.reduce((sum, day) => sum + day.gapMs, 0)).toBeGreaterThan(14_000);
  // Each ledger says of the recorded time what the other does; the block is in neither.
  expect(Math.abs(harvestMilliJ - countedMilliJ) / MILLIJ_PER_WH).toBeLessThan(0.2);
  const counter = told.counters!.find(({ quantity }) => quantity === 'solarEnergyWh')!;
  expect(counter.bridgedWh).toBeCloseTo(sun.milliJ! / MILLIJ_PER_WH, 2);
  expect(told.days.reduce((sum, day) => sum + day.solarWh, 0)).toBeLessThan(counter.countedWh - counter.bridgedWh / 2);
}, 120_000);
