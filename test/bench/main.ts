/**
 * `npm run bench [-- name…] [--json] [--year]`: runs all benches or the named ones and prints what they found. It only reports:
 * the exit status is 0 whatever the figures are.
 */
import { cpus, loadavg, totalmem } from 'node:os';
import { parseArgs } from 'node:util';
import { aim } from './aim.ts';
import { type Bench, type Figure, unmeasured } from './figure.ts';
import { footprint } from './footprint.ts';
import { latency } from './latency.ts';
import { ledger } from './ledger.ts';
import { modbus } from './modbus.ts';
import { page } from './page.ts';
import { painted } from './painted.ts';
import { plant } from './plant.ts';
import { point } from './pointing.ts';
import { projection } from './projection.ts';
import { radio, radioStations } from './radio.ts';
import { reading } from './reading.ts';
import { rescue } from './rescue.ts';
import { season } from './season.ts';
import { sky } from './sky.ts';
import { stall } from './stall.ts';
import { start } from './start.ts';
import { store } from './store.ts';
import { stream } from './stream.ts';
import { tableOf } from './table.ts';
import { tone } from './tone.ts';

const BENCHES: readonly Bench[] = [
  latency,
  radio,
  radioStations,
  painted,
  aim,
  tone,
  start,
  footprint,
  page,
  ledger,
  stream,
  stall,
  modbus,
  store,
  season,
  reading,
  rescue,
  sky,
  plant,
  projection,
  point,
];

const machine = () => ({
  node: process.version,
  cpu: `${cpus().length} × ${cpus()[0]?.model ?? 'unknown'}`,
  memoryGB: Math.round(totalmem() / 2 ** 30),
});

async function runOne(bench: Bench): Promise<Figure[]> {
  try {
    return await bench.run(line => console.error(`  ${bench.name}: ${line}`));
  } catch (cause) {
    // One bench that cannot run is a line of the report; the others still run.
    console.error(cause);
    return [unmeasured(bench.name, cause instanceof Error ? cause.message : String(cause))];
  }
}

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    options: { json: { type: 'boolean' }, year: { type: 'boolean' } },
    allowPositionals: true,
  });
  const unknown = positionals.filter(name => !BENCHES.some(bench => bench.name === name));
  if (unknown.length > 0) {
    console.error(`No bench is called ${unknown.join(', ')}. There are: ${BENCHES.map(b => b.name).join(', ')}.`);
    return;
  }
  const chosen = BENCHES.filter(bench => positionals.length === 0 || positionals.includes(bench.name));
  const report = [];
  if (values.json !== true) console.log(`${machine().cpu}, ${machine().memoryGB} GB, Node ${machine().node}\n`);
  for (const bench of chosen) {
    const loadBefore = loadavg()[0]!;
    const figures = await runOne(bench);
    const load = { before: loadBefore, after: loadavg()[0]! };
    report.push({ bench: bench.name, load, figures });
    const title = `${bench.title} (load ${load.before.toFixed(1)} before, ${load.after.toFixed(1)} after)`;
    if (values.json !== true) console.log(tableOf(title, figures));
  }
  if (values.json === true) console.log(JSON.stringify({ machine: machine(), benches: report }, null, 2));
}

await main();
