/**
 * From `npm start` (built, a record there already) to the printed address and to the first live number in a client, ms.
 * The floor is npm starting an empty HTTP server, and the simulator on its own printing its first line.
 */
import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { dataOf, freshHome, type Home, type Served, serve, serveAgent } from './agent.ts';
import { atMostTimes, type Bench } from './figure.ts';
import { type TappedReading, tapLive } from './live-tap.ts';
import { recordLoadedYear } from './loaded-year.ts';
import { inDist } from './places.ts';
import { treeOf } from './process-tree.ts';
import { median, takeTurns } from './samples.ts';

const ROUNDS = 9;
const TEN = Array.from({ length: 10 }, (_, i) => `shed-${i}`);
/** Typed stations open nothing: the start alone is measured. */
const stationsOf = (ids: readonly string[]): string =>
  ids
    .map(
      id => `[[station]]\nid = "${id}"\nname = "${id}"\nratedWh = 1640\nzone = "UTC"\ntransport = { kind = "typed" }\n`,
    )
    .join('\n');

const EMPTY_SERVER =
  "import{createServer}from'node:http';const s=createServer((q,r)=>r.end());" +
  "s.listen(0,'127.0.0.1',()=>console.log('http://127.0.0.1:'+s.address().port+'/'))";

/** npm does not always pass a signal on: what it started is told too. */
async function endTree(served: Served): Promise<void> {
  const ended = once(served.child, 'close');
  for (const pid of treeOf(served.child.pid!).slice(0, 3)) signal(pid);
  await ended;
}

function signal(pid: number): void {
  try {
    process.kill(pid, 'SIGTERM');
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== 'ESRCH') throw cause;
  }
}

const endOne = (served: Served): Promise<void> => served.end();

interface Started {
  urlMs: number;
  firstMs: number;
}

async function startOnce(begin: () => Promise<Served>, end: (served: Served) => Promise<void>): Promise<Started> {
  const beganMs = performance.now();
  const beganAt = Date.now();
  const served = await begin();
  await new Promise<void>((resolve, reject) => {
    // The last reading of the run before is told with its age: it is not a live one.
    const heard = ({ at }: TappedReading) => {
      if (Date.parse(at) >= beganAt) resolve();
    };
    tapLive(served.url, heard).then(tap => served.child.once('exit', () => tap.close()), reject);
  });
  const firstMs = performance.now() - beganMs;
  await end(served);
  return { urlMs: served.startMs, firstMs };
}

async function simulatorFirstLine(since: string): Promise<number> {
  const beganMs = performance.now();
  const child = spawn(process.execPath, [inDist('simulators/run.js'), '--since', since], {
    stdio: ['pipe', 'pipe', 'ignore'],
  });
  await once(child.stdout, 'data');
  const tookMs = performance.now() - beganMs;
  child.kill('SIGTERM');
  await once(child, 'close');
  return tookMs;
}

const npmStart = (home: Home) => serve('npm', ['start', '--', ...home.args], { env: home.env });

/** A package whose start script is an empty HTTP server. */
function emptyPackage(): { begin(): Promise<Served>; remove(): void } {
  const dir = mkdtempSync(join(tmpdir(), 'wattkeep-empty-'));
  writeFileSync(join(dir, 'package.json'), '{"type":"module","scripts":{"start":"node server.js"}}');
  writeFileSync(join(dir, 'server.js'), EMPTY_SERVER);
  return {
    begin: () => serve('npm', ['start'], { cwd: dir }),
    remove: () => rmSync(dir, { recursive: true, force: true }),
  };
}

export const start: Bench = {
  name: 'start',
  title: 'Start: npm start, built, record of the demo already there',
  async run(say) {
    const home = freshHome();
    const loaded = freshHome(stationsOf(TEN));
    const empty = emptyPackage();
    const since = new Date(Math.floor(Date.now() / 86_400_000 - 21) * 86_400_000).toISOString();
    try {
      say('making the record of the demo');
      await startOnce(() => serveAgent(home), endOne);
      say('making a year of ten stations');
      recordLoadedYear(dataOf(loaded), TEN, Date.now() - 60_000);
      say(`${ROUNDS} starts of each`);
      const taken = await takeTurns(ROUNDS, {
        npm: () => startOnce(() => npmStart(home), endTree),
        direct: () => startOnce(() => serveAgent(home), endOne),
        empty: async () => {
          const served = await empty.begin();
          await endTree(served);
          return served.startMs;
        },
        simulator: () => simulatorFirstLine(since),
        loaded: async () => {
          const served = await npmStart(loaded);
          await endTree(served);
          return served.startMs;
        },
      });
      const samples = `${ROUNDS} starts`;
      const urlMs = median(taken.npm.map(s => s.urlMs));
      const emptyMs = median(taken.empty);
      return [
        {
          name: 'npm start → address',
          unit: 'ms',
          value: urlMs,
          floor: emptyMs,
          floorIs: 'npm start of an empty HTTP server',
          samples,
        },
        {
          name: 'npm start → first live number',
          unit: 'ms',
          value: median(taken.npm.map(s => s.firstMs)),
          floor: emptyMs + median(taken.simulator),
          floorIs: 'npm start of an empty HTTP server, then the simulator alone to its first line',
          samples,
        },
        {
          name: 'npm start → address, 10 stations, a year loaded',
          unit: 'ms',
          value: median(taken.loaded),
          floor: emptyMs,
          floorIs: 'npm start of an empty HTTP server',
          goal: atMostTimes(2, emptyMs),
          samples,
        },
        { name: 'node agent/start.mjs → address', unit: 'ms', value: median(taken.direct.map(s => s.urlMs)), samples },
        {
          name: 'node agent/start.mjs → first live number',
          unit: 'ms',
          value: median(taken.direct.map(s => s.firstMs)),
          samples,
        },
      ];
    } finally {
      home.remove();
      loaded.remove();
      empty.remove();
    }
  },
};
