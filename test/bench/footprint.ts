/**
 * Memory and processor time of the running agent: as it starts by default (demo), and reading one and ten stations at
 * 1 Hz over TCP, fed by this process, ten of them again over a year of record that is asked about, and started for the
 * very first time; beside a Node that does nothing. One client listens to each. All run at once.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { setTimeout as pause } from 'node:timers/promises';
import { dataOf, freshHome, type Home, type Served, serveAgent } from './agent.ts';
import { atMost, atMostTimes, type Bench, type Figure, unmeasured } from './figure.ts';
import { type LiveTap, tapLive } from './live-tap.ts';
import { askLoadedYear, recordLoadedYear } from './loaded-year.ts';
import { cpuMsOf, hasProc, residentMB, shareMB, treeOf } from './process-tree.ts';
import { median } from './samples.ts';

const ROUNDS = 3;
const SETTLE_MS = 10_000;
const MEASURE_S = 20;
const ALLOWED_TREE_MB = 250;
const ALLOWED_CORE_PCT = 2;
const TEN = Array.from({ length: 10 }, (_, i) => `shed-${i}`);

/** Gives every connection a line a second, each from its own moment on. */
function feedStations(): { server: Server; close(): void } {
  const open = new Set<Socket>();
  const server = createServer(socket => {
    open.add(socket);
    let second = 0;
    const timer = setInterval(() => {
      second += 1;
      const pct = 70 + (second % 100) / 10;
      socket.write(
        `{"inputPowerW":${180 + (second % 7)},"outputPowerW":${60 + (second % 11)},"stateOfChargePct":${pct},"solarPowerW":${180 + (second % 7)},"batteryVoltageV":51.2,"batteryTempC":21.5}\n`,
      );
    }, 1_000);
    socket.on('error', () => socket.destroy());
    socket.on('close', () => {
      clearInterval(timer);
      open.delete(socket);
    });
  });
  return {
    server,
    close() {
      server.close();
      for (const socket of open) socket.destroy();
    },
  };
}

const stationsOn = (port: number, count: number): string =>
  Array.from(
    { length: count },
    (_, i) =>
      `[[station]]\nid = "${TEN[i]}"\nname = "Shed ${i}"\nratedWh = 1640\nzone = "UTC"\n` +
      `transport = { kind = "tcp", host = "127.0.0.1", port = ${port} }\n`,
  ).join('\n');

/** What one process or tree used in the time of measuring. */
interface Use {
  rssMB: number;
  treeMB: number;
  treeShareMB: number;
  cpuPct: number;
  treeCpuPct: number;
  processes: number;
}

async function watchAll(pids: readonly number[]): Promise<Use[]> {
  const trees = pids.map(treeOf);
  const cpu = (tree: readonly number[]) => tree.reduce((sum, pid) => sum + cpuMsOf(pid), 0);
  const sum = (tree: readonly number[], of: (pid: number) => number) => tree.reduce((total, pid) => total + of(pid), 0);
  const beganMs = performance.now();
  const before = trees.map(tree => ({ own: cpuMsOf(tree[0]!), all: cpu(tree) }));
  const seen = trees.map(() => ({ rss: [] as number[], tree: [] as number[] }));
  for (let second = 0; second < MEASURE_S; second++) {
    await pause(1_000);
    trees.forEach((tree, i) => {
      seen[i]!.rss.push(residentMB(tree[0]!));
      seen[i]!.tree.push(sum(tree, residentMB));
    });
  }
  const tookMs = performance.now() - beganMs;
  return trees.map((tree, i) => ({
    rssMB: median(seen[i]!.rss),
    treeMB: median(seen[i]!.tree),
    treeShareMB: sum(tree, shareMB),
    cpuPct: (100 * (cpuMsOf(tree[0]!) - before[i]!.own)) / tookMs,
    treeCpuPct: (100 * (cpu(tree) - before[i]!.all)) / tookMs,
    processes: tree.length,
  }));
}

const CASES = ['demo', '1 station', '10 stations', '10 stations, a year loaded', 'the very first start'] as const;
const LOADED = CASES.indexOf('10 stations, a year loaded');

async function round(kept: readonly Home[]): Promise<{ empty: Use; agents: Use[] }> {
  const empty: ChildProcess = spawn(process.execPath, ['-e', 'setInterval(() => {}, 1e6)'], { stdio: 'ignore' });
  const agents: Served[] = [];
  // Never run before: the demo's past is made as it starts.
  const first = freshHome();
  const taps: LiveTap[] = [];
  try {
    for (const home of [...kept, first]) agents.push(await serveAgent(home));
    for (const agent of agents) taps.push(await tapLive(agent.url, () => undefined));
    await askLoadedYear(agents[LOADED]!.url, TEN);
    await pause(SETTLE_MS);
    const [idle, ...rest] = await watchAll([empty.pid!, ...agents.map(agent => agent.child.pid!)]);
    return { empty: idle!, agents: rest };
  } finally {
    for (const tap of taps) tap.close();
    for (const agent of agents) await agent.end();
    empty.kill();
    await once(empty, 'close');
    first.remove();
  }
}

function figuresOf(rounds: readonly { empty: Use; agents: Use[] }[]): Figure[] {
  const samples = `${ROUNDS} runs × ${MEASURE_S} s`;
  const emptyMB = median(rounds.map(r => r.empty.rssMB));
  const of = (i: number, key: keyof Use) => median(rounds.map(r => r.agents[i]![key]));
  return CASES.flatMap((name, i): Figure[] => [
    {
      name: `agent process, ${name}`,
      unit: 'MB',
      value: of(i, 'rssMB'),
      floor: emptyMB,
      floorIs: 'resident memory of a Node that does nothing',
      goal: atMostTimes(1.6, emptyMB),
      samples,
    },
    {
      name: `whole tree, ${name}`,
      unit: 'MB',
      value: of(i, 'treeMB'),
      floor: of(i, 'processes') * emptyMB,
      floorIs: 'as many Nodes that do nothing',
      goal: atMost(ALLOWED_TREE_MB),
      samples,
      note: `${of(i, 'processes')} processes; ${of(i, 'treeShareMB').toFixed(0)} MB with each shared page divided among all that share it`,
    },
    { name: `agent process, ${name}`, unit: '% core', value: of(i, 'cpuPct'), goal: atMost(ALLOWED_CORE_PCT), samples },
    {
      name: `whole tree, ${name}`,
      unit: '% core',
      value: of(i, 'treeCpuPct'),
      goal: atMost(ALLOWED_CORE_PCT),
      samples,
    },
  ]);
}

export const footprint: Bench = {
  name: 'footprint',
  title: 'Footprint: memory and processor time at 1 Hz, one client listening',
  async run(say) {
    if (!hasProc()) return [unmeasured('footprint', 'there is no /proc on this system')];
    const feed = feedStations();
    feed.server.listen(0, '127.0.0.1');
    await once(feed.server, 'listening');
    const { port } = feed.server.address() as AddressInfo;
    const ten = stationsOn(port, TEN.length);
    const homes = [freshHome(), freshHome(stationsOn(port, 1)), freshHome(ten), freshHome(ten)];
    try {
      say('making a year of ten stations');
      recordLoadedYear(dataOf(homes[LOADED]!), TEN, Date.now() - 60_000);
      // A start like any other: the demo's past is made before.
      await (await serveAgent(homes[0]!)).end();
      const rounds = [];
      for (let i = 1; i <= ROUNDS; i++) {
        say(`run ${i} of ${ROUNDS}, ${MEASURE_S + SETTLE_MS / 1000} s`);
        rounds.push(await round(homes));
      }
      return figuresOf(rounds);
    } finally {
      feed.close();
      for (const home of homes) home.remove();
    }
  },
};
