/**
 * Entry of the simulator: puts the honey shed's plant on standard output, a pseudo-terminal, a TCP port or a soft
 * radio, or prints its past. Wall clock, timers and process live here; everything below takes them as arguments. Ends
 * by itself when its reader closes or its parent is gone.
 */
import { existsSync, readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { obey, type Running, through } from './control.ts';
import { faultFromText, type Piece, seededRandom } from './faults.ts';
import { historyCsv, type Live, PAST_GRID_MS } from './history.ts';
import { createShed, describeShed, SHED_START_PCT, shedFacts } from './honey-shed.ts';
import { describeSpots, FIRST_SPOT, isSpotId, type SpotId, shedSpot, shedStays } from './honey-shed-spots.ts';
import { readIrradiance } from './irradiance-file.ts';
import { type RunOptions, readOptions, USAGE } from './options.ts';
import { civilDays } from './plant/civil-days.ts';
import { createMeasuredSky } from './plant/light/measured-sky.ts';
import type { SkyAt } from './plant/light/sky.ts';
import type { Plant } from './plant/station.ts';
import { isRadio, radioCable } from './radio/station.ts';
import { serveSunspec } from './serve-sunspec.ts';
import type { Cable, SendBytes, Timing } from './wire/cable.ts';
import { countsOf } from './wire/counts.ts';
import { encodeLine } from './wire/lines.ts';
import { createDevice, type SunspecDevice } from './wire/modbus/device.ts';
import { ptyCable } from './wire/pty.ts';
import { stdoutCable } from './wire/stdout.ts';
import { tcpCable } from './wire/tcp.ts';

const PARENT_CHECK_MS = 400;
const SPOT_CHECK_MS = 1000;
/** After a longer sleep than this the missed time is lived through in the coarse steps of the past. */
const LONG_SLEEP_MS = 600_000;
/** Beyond it whole seconds would keep a core busy; the coarse steps of a past are taken. */
const WHOLE_SECONDS_SPEED = 10_000;

const timing: Timing = {
  nowMs: () => performance.now(),
  after(delayMs, act) {
    const timer = setTimeout(act, delayMs);
    return () => clearTimeout(timer);
  },
};

const leave = (code: number): never => process.exit(code);

/** The measured sky of a file that covers the first instant; ends with a sentence where it does not. */
function skyOf(o: RunOptions, file: string): SkyAt {
  const refuse = (text: string) => {
    console.error(`--irradiance ${file}: ${text}`);
    return leave(2);
  };
  if (!existsSync(file)) return refuse('there is no such file');
  const rows = readIrradiance(readFileSync(file, 'utf8'));
  if (typeof rows === 'string') return refuse(rows);
  const [first, last] = [rows[0]!.at, rows.at(-1)!.at];
  if (o.sinceMs < first || o.sinceMs > last) {
    const iso = (ms: number) => new Date(ms).toISOString();
    return refuse(`it covers ${iso(first)} to ${iso(last)}; begin in there with --at or --since`);
  }
  return createMeasuredSky(rows, o.place);
}

/** The spot that a file names; undefined where it names none. */
function spotIn(file: string): SpotId | undefined {
  const text = existsSync(file) ? readFileSync(file, 'utf8').trim() : '';
  return isSpotId(text) ? text : undefined;
}

const spotNamed = (o: RunOptions): SpotId | undefined =>
  (o.spotFile === null ? undefined : spotIn(o.spotFile)) ?? o.spot;

const spotAtStart = (o: RunOptions): SpotId => spotNamed(o) ?? FIRST_SPOT;

/** Has the panels carried whenever the file names another spot. */
function watchSpot(o: RunOptions, file: string, run: Running): void {
  let spot = spotAtStart(o);
  setInterval(() => {
    const wanted = spotIn(file);
    if (wanted === undefined || wanted === spot) return;
    spot = wanted;
    run.carry(wanted);
  }, SPOT_CHECK_MS).unref();
}

const plantOf = (o: RunOptions) =>
  createShed({
    ...(o.irradiance === null ? {} : { sky: skyOf(o, o.irradiance) }),
    ...o.place,
    seed: o.seed,
    zone: o.zone,
    startMs: o.sinceMs,
    startPct: o.startPct ?? SHED_START_PCT,
    mains: o.mains,
    spot: spotAtStart(o),
  });

/** Lives through the past with the panels where they were carried; where a spot was named they never moved. */
function pastOf(o: RunOptions): Live {
  const stays = spotNamed(o) !== undefined ? [] : shedStays(o.bornMs, civilDays(o.zone).offsetMs);
  let next = 0;
  return (plant, ms) => {
    for (; next < stays.length && stays[next]!.fromMs <= ms; next++) {
      const { spot, fromMs } = stays[next]!;
      // What began later than its stay finds the panels there already.
      plant.step(Math.max(fromMs, plant.nowMs()), PAST_GRID_MS);
      plant.carry(shedSpot(o.place, spot));
    }
    plant.step(ms, PAST_GRID_MS);
  };
}

/** A parent killed outright cannot tell its children: they look. */
function watchParent(told: number | null): void {
  const parent = told ?? process.ppid;
  setInterval(() => {
    if (process.ppid !== parent) leave(0);
  }, PARENT_CHECK_MS).unref();
}

async function printHistory(o: RunOptions): Promise<void> {
  process.stdout.on('error', () => leave(1));
  const fromMs = o.atMs - o.historyDays * 86_400_000;
  for (const piece of historyCsv(plantOf(o), o.zone, fromMs, o.atMs, pastOf(o))) {
    if (!process.stdout.write(piece)) await new Promise(resolve => process.stdout.once('drain', resolve));
  }
}

async function openCable(o: RunOptions, plant: Plant): Promise<Cable> {
  if (o.cable.kind === 'radio') return radioCable(o.cable.path, RADIO_NAME, plant.sample());
  if (o.cable.kind === 'pty') return ptyCable(o.cable.link, o.cable.baud, timing);
  if (o.cable.kind === 'tcp') return tcpCable(o.cable.host, o.cable.port);
  return stdoutCable(() => leave(0));
}

/** Sends pieces now, or when their time comes. */
function emitBy(send: SendBytes) {
  const leave = (piece: Piece) => send(piece.bytes, piece.unpaced === true);
  return (pieces: readonly Piece[]) => {
    for (const piece of pieces) {
      if (piece.afterMs < 1) leave(piece);
      else setTimeout(leave, piece.afterMs, piece);
    }
  };
}

const SUNSPEC_BASE = 40_000;
const RADIO_NAME = 'Honey shed';

/** The device that speaks for the plant; null where it speaks lines by itself. */
function deviceOf(o: RunOptions, plant: Plant, catchUp: () => void): SunspecDevice | null {
  if (o.protocol.kind === 'lines') return null;
  const { ratedWh } = shedFacts(o.place).pack;
  return createDevice(plant, catchUp, { ...o.protocol, base: SUNSPEC_BASE, ratedWh });
}

async function live(o: RunOptions): Promise<void> {
  const wallStartMs = Date.now();
  const plant = plantOf(o);
  pastOf(o)(plant, Math.floor(o.atMs / PAST_GRID_MS) * PAST_GRID_MS);
  const cable = await openCable(o, plant);
  const random = seededRandom(o.seed);
  const faults = o.faults.map(text => faultFromText(random, text));
  const plantNowMs = () => o.atMs + (Date.now() - wallStartMs) * o.speed;
  const quit = () => {
    cable.close();
    leave(0);
  };
  const catchUp = () => {
    const toMs = plantNowMs();
    const slept = toMs - plant.nowMs() > LONG_SLEEP_MS * Math.max(1, o.speed);
    plant.step(toMs, slept || o.speed > WHOLE_SECONDS_SPEED ? PAST_GRID_MS : 1000);
  };
  const run: Running = {
    plant,
    cable,
    random,
    faults: faults.filter(f => f !== null),
    hushed: false,
    catchUp,
    frame: () => {
      catchUp();
      const { countersStepWh } = o;
      return encodeLine(plant.sample(), countersStepWh === null ? undefined : countsOf(plant.ledger, countersStepWh));
    },
    device: deviceOf(o, plant, catchUp),
    carry: spot => {
      catchUp();
      plant.carry(shedSpot(o.place, spot));
    },
    emit: emitBy(cable.send),
    quit,
  };
  const answers = o.cable.kind === 'stdout' ? process.stderr : process.stdout;
  const answer = (a: Record<string, unknown>) => {
    answers.write(`${JSON.stringify(a)}\n`);
  };
  answers.on('error', quit);
  process.on('SIGTERM', quit);
  process.on('SIGINT', quit);
  if (o.cable.kind !== 'stdout') answer({ ready: cable.where });
  // One after another: an answer is out before the next command is looked at.
  let previous = Promise.resolve();
  createInterface({ input: process.stdin }).on('line', line => {
    previous = previous.then(async () => {
      answer(await obey(line, run).catch(cause => ({ refused: String(cause) })));
    });
  });
  if (o.spotFile !== null) watchSpot(o, o.spotFile, run);
  speak(o, run, wallStartMs);
}

/** Begins to say lines, or to answer. */
function speak(o: RunOptions, run: Running, wallStartMs: number): void {
  if (run.device !== null) {
    const baud = o.cable.kind === 'pty' ? o.cable.baud : null;
    serveSunspec(run, { device: run.device, baud, timing, emitBy });
    return;
  }
  const { cable } = run;
  if (isRadio(cable)) {
    beat(o.intervalMs, () => {
      run.catchUp();
      if (!run.hushed) cable.show(run.plant.sample());
    });
    return;
  }
  beat(o.intervalMs, () => {
    const line = run.frame();
    if (!run.hushed) run.emit(through(run, line, Date.now() - wallStartMs));
  });
}

/** Calls `speak` at once and then every `intervalMs` without drifting; missed beats are left out. */
function beat(intervalMs: number, speak: () => void): void {
  let nextMs = performance.now();
  const turn = () => {
    speak();
    const nowMs = performance.now();
    nextMs += intervalMs * Math.max(1, Math.ceil((nowMs - nextMs) / intervalMs));
    setTimeout(turn, nextMs - nowMs);
  };
  turn();
}

function refuse(reason: string): void {
  process.stderr.write(reason === '' ? USAGE : `${reason}\n${USAGE}`);
  process.exitCode = reason === '' ? 0 : 2;
}

async function main(): Promise<void> {
  const o = readOptions(process.argv.slice(2), Date.now(), Intl.DateTimeFormat().resolvedOptions().timeZone);
  if ('usage' in o) return refuse(o.usage);
  watchParent(o.parentPid);
  const print = (told: unknown) => process.stdout.write(`${JSON.stringify(told, null, 2)}\n`);
  if (o.job === 'describe') print(describeShed(o.zone, o.place));
  else if (o.job === 'spots')
    print({ spots: describeSpots(o.place), stays: shedStays(o.bornMs, civilDays(o.zone).offsetMs) });
  else if (o.job === 'history') await printHistory(o);
  else await live(o);
}

main().catch(cause => {
  process.stderr.write(`${cause instanceof Error ? cause.message : cause}\n`);
  leave(1);
});
