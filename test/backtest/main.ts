/**
 * `npm run backtest -- FOLDER [--every-nth N] [--only KIND]`: every recording of a folder lived through, without and with
 * the log before its start, held against the bars and the plain ways of the same run; then how wrong ranges mend, and
 * times to full over simulated charges. `npm run backtest -- aim [FOLDER] [--walks N]`: pairs of spots;
 * `npm run backtest -- skyline`: sun and shade learned; `npm run backtest -- trials`: stations with hidden values. It
 * only reports: the exit status is 0 whatever the figures are.
 */
import { parseArgs } from 'node:util';
import { replayRows } from '../../agent/commands/replay-rows.ts';
import { backtestAim } from './aiming/run.ts';
import { barRows, kindRows, type Mode } from './bars.ts';
import { type Filled, fillTimes } from './fill.ts';
import { CORE, outcomesOf } from './gather.ts';
import { type Lived, liveThrough } from './live-through.ts';
import { type Case, casesIn } from './manifest.ts';
import { mendHalved } from './repair.ts';
import { backtestSkyline } from './spots/run.ts';
import { backtestTrials } from './trials/run.ts';

const WITHOUT_FOLDER = `usage: npm run backtest -- FOLDER [--every-nth N] [--only KIND]

FOLDER holds recordings, CASE.csv or CASE.csv.gz, and a MANIFEST.csv that begins with the line
  case,kind,rated_wh,start_at,at_10pct
and has one row for each: a name, the kind of load, the label's Wh, when the discharge began and when 10 % was first
shown, in epoch ms. A day of load before the start may be in it, with an empty state of charge.

Recordings of your own: let wattkeep run through a discharge, then
  node agent/start.mjs export --from 2026-06-01T18:00:00+02:00 --to 2026-06-02T09:00:00+02:00 > night.csv
To judge a single one, no manifest is needed: node agent/start.mjs outlast --recording night.csv --rated-wh 1640

       npm run backtest -- aim [FOLDER] [--walks N]

Judges pairs of spots on the simulated panels; where FOLDER holds measured irradiance or power by the minute, there too.

       npm run backtest -- skyline [--every-nth N]

Holds what is learned of sun and shade at simulated spots against their true skylines.

       npm run backtest -- trials [--every-nth N]

Puts simulated stations with hidden true values through every kind of trial, sets pairs side by side, and spoils runs.
`;

const CHARGES = 300;
const WALKS = 1000;
const PROGRESS_MS = 10_000;
const MODES: readonly Mode[] = ['no log', 'log'];

async function liveAll(cases: readonly Case[]): Promise<Record<Mode, Lived[]>> {
  const lives: Record<Mode, Lived[]> = { 'no log': [], log: [] };
  let saidAt = performance.now();
  for (const [i, of] of cases.entries()) {
    const rows = await replayRows(of.file, { source: 'unknown', panelsRatedW: null, isDark: () => false });
    for (const mode of MODES) lives[mode].push(liveThrough(of, rows, mode === 'log', null));
    if (performance.now() - saidAt < PROGRESS_MS) continue;
    saidAt = performance.now();
    console.error(`${i + 1} of ${cases.length} recordings`);
  }
  return lives;
}

function print(title: string, rows: readonly string[][]): void {
  const columns = Math.max(...rows.map(row => row.length));
  const widths = Array.from({ length: columns }, (_, i) =>
    Math.max(...rows.filter(row => row.length === columns).map(row => row[i]!.length)),
  );
  console.log(title);
  for (const row of rows)
    console.log(
      row
        .map((cell, i) => (i === 0 ? cell.padEnd(widths[0]!) : cell.padStart(widths[i]! + 2)))
        .join('')
        .trimEnd(),
    );
  console.log('');
}

function fillRows({ unknown, learned }: { unknown: Filled; learned: Filled }): string[][] {
  const row = (name: string, of: Filled, must: string, aim: string) => [
    name,
    of.errorPct.map(e => e?.toFixed(1) ?? '–').join(' / '),
    must,
    aim,
    of.coverage.map(c => c?.toFixed(2) ?? '–').join(' / '),
    `${((of.silent ?? 0) * 100).toFixed(0)} %`,
  ];
  return [
    ['at 75 / 50 / 25 % left', 'median error %', 'must', 'aim', 'held (.75-.88)', 'silent'],
    row('never seen charging', unknown, '13 / 17 / 22', '10 / 12 / 15'),
    row('after four full charges', learned, '6 / 8 / 12', '4 / 5 / 8'),
  ];
}

async function main(): Promise<void> {
  const { values, positionals } = parseArgs({
    options: { 'every-nth': { type: 'string' }, only: { type: 'string' }, walks: { type: 'string' } },
    allowPositionals: true,
  });
  if (positionals[0] === 'aim') {
    backtestAim(Math.max(3, Number(values.walks ?? WALKS) || WALKS), positionals[1] ?? null, print);
    return;
  }
  if (positionals[0] === 'skyline') {
    backtestSkyline(Math.max(1, Number(values['every-nth'] ?? 1) || 1), print);
    return;
  }
  if (positionals[0] === 'trials') {
    backtestTrials(Math.max(1, Number(values['every-nth'] ?? 1) || 1), print);
    return;
  }
  const [folder] = positionals;
  if (folder === undefined) {
    console.log(WITHOUT_FOLDER);
    return;
  }
  const nth = Math.max(1, Number(values['every-nth'] ?? 1) || 1);
  const cases = casesIn(folder).filter((of, i) => i % nth === 0 && (values.only ?? of.kind) === of.kind);
  const lives = await liveAll(cases);
  for (const mode of MODES) {
    const title = mode === 'log' ? 'with a log of the load before the start' : 'without a log';
    print(`${cases.length} recordings, ${title}`, barRows(mode, lives[mode]));
    print(`by kind, ${title}`, kindRows(lives[mode]));
  }
  const mended = mendHalved(outcomesOf(lives['no log'].filter(({ case: of }) => CORE.includes(of.kind))));
  if (mended !== null)
    print(`ranges halved on purpose, ${mended.repeats} repeats of 60 outcomes: share that held`, [
      ['outcomes 1-10', '11-30', '31-60', 'must', 'aim'],
      [mended.first.toFixed(3), mended.then.toFixed(3), mended.last.toFixed(3), '.75-.85', '.78-.82'],
    ]);
  if (values.only === undefined)
    print(
      `time to full, ${Math.ceil(CHARGES / nth)} simulated stations`,
      fillRows(fillTimes(Math.ceil(CHARGES / nth))),
    );
}

await main().catch((cause: unknown) => {
  console.error(cause instanceof Error ? cause.message : cause);
  process.exitCode = 2;
});
