/**
 * Eight SunSpec stations on serial lines of 9600 baud at once: readings that should have come and did not, questions
 * that were not answered in time, and what it costs the agent and its adapters.
 */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { freshHome, serveAgent } from './agent.ts';
import { atMost, type Bench } from './figure.ts';
import { benchChild } from './places.ts';
import { cpuMsOf, hasProc, treeOf } from './process-tree.ts';

const STATIONS = 8;
const BAUD = 9600;
const INTERVAL_MS = 2000;
const SECONDS = 40;
const SETTLE_MS = 6000;

interface Counted {
  readonly accepted: number;
  readonly unanswered: number;
}

interface Told {
  readonly reading: { readonly seq: number } | null;
  readonly status: { readonly rejected: { readonly unanswered?: number } } | null;
}

const settings = (folder: string): string =>
  Array.from(
    { length: STATIONS },
    (_, i) =>
      `[[station]]\nid = "s${i}"\nname = "Station ${i}"\nadapter = "sunspec-modbus"\nratedWh = 1640\nzone = "UTC"\n` +
      `transport = { kind = "serial", path = "${join(folder, `port-${i}`)}", baud = ${BAUD} }\n`,
  ).join('\n');

async function countAll(url: string): Promise<Counted[]> {
  const ids = Array.from({ length: STATIONS }, (_, i) => `s${i}`);
  const told = await Promise.all(ids.map(id => fetch(`${url}api/stations/${id}/now`).then(answer => answer.json())));
  // The status is told when something changes; the newest reading carries its number within the connection.
  return (told as Told[]).map(({ reading, status }) => ({
    accepted: reading?.seq ?? 0,
    unanswered: status?.rejected.unanswered ?? 0,
  }));
}

const sum = (list: readonly Counted[], key: keyof Counted): number => list.reduce((all, one) => all + one[key], 0);

export const modbus: Bench = {
  name: 'modbus',
  title: `Modbus: ${STATIONS} SunSpec stations at ${BAUD} baud`,
  async run(say) {
    const folder = freshHome();
    const devices = spawn(
      process.execPath,
      [benchChild('modbus-devices'), folder.dir, String(STATIONS), String(BAUD)],
      {
        stdio: ['pipe', 'pipe', 'inherit'],
      },
    );
    await once(devices.stdout!, 'data');
    const home = freshHome(settings(folder.dir));
    const agent = await serveAgent(home);
    try {
      while ((await countAll(agent.url)).some(({ accepted }) => accepted < 2)) await pause(200);
      await pause(SETTLE_MS);
      const tree = hasProc() ? treeOf(agent.child.pid!) : [];
      const cpuMs = () => tree.reduce((all, pid) => all + cpuMsOf(pid), 0);
      const [before, cpuBefore, fromMs] = [await countAll(agent.url), cpuMs(), performance.now()];
      say(`${SECONDS} s`);
      await pause(SECONDS * 1000);
      const [after, cpuAfter, tookMs] = [await countAll(agent.url), cpuMs(), performance.now() - fromMs];
      const due = (STATIONS * tookMs) / INTERVAL_MS;
      const came = sum(after, 'accepted') - sum(before, 'accepted');
      const samples = `${came} readings in ${Math.round(tookMs / 1000)} s`;
      return [
        // One reading of each station may fall to either side of the two looks.
        {
          name: 'readings missing',
          unit: '',
          value: Math.max(0, Math.ceil(due - came - STATIONS)),
          goal: atMost(0),
          samples,
        },
        {
          name: 'questions unanswered',
          unit: '',
          value: sum(after, 'unanswered') - sum(before, 'unanswered'),
          goal: atMost(0),
          samples,
        },
        {
          name: 'agent and adapters, of one processor',
          unit: '%',
          value: tree.length === 0 ? null : (100 * (cpuAfter - cpuBefore)) / tookMs,
          samples,
        },
      ];
    } finally {
      await agent.end();
      devices.stdin!.end();
      home.remove();
      folder.remove();
    }
  },
};
