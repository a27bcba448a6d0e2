/**
 * The built agent with one station, on a disk, a cable or a radio, and a clock that can each go wrong, and everything it
 * told live and acknowledged meanwhile, so that the record can be held against it.
 */
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { pathToFileURL } from 'node:url';
import { expect, onTestFinished } from 'vitest';
import type { NowAnswer, WireHealth, WireReading } from '#messages';
import { BATTERY, batteryService, batteryValues, levelValue } from '../../simulators/radio/battery.ts';
import { createSoftRadio } from '../../simulators/radio/soft-radio.ts';
import { type LiveTap, tapLive } from '../bench/live-tap.ts';
import { type AgentProcess, freshFolders, startAgentProcess } from './agent-process.ts';
import { built } from './built.ts';
import { shimIn } from './failing-calls.ts';
import { plugPty } from './pty.ts';

const EVERY_MS = 100;
/** A busy computer takes its time; what never comes fails all the same. */
const PATIENCE_MS = 30_000;
export const STATION = 'shed';
/** The first watts that are sent; each next line has one more, so that every reading can be told from every other. */
export const FIRST_W = 100;

/** Asks until the answer pleases. */
export async function until<T>(ask: () => Promise<T> | T, pleases: (answer: T) => boolean): Promise<T> {
  const endMs = performance.now() + PATIENCE_MS;
  for (;;) {
    const answer = await ask();
    if (pleases(answer)) return answer;
    if (performance.now() > endMs) throw new Error(`still: ${JSON.stringify(answer)}`);
    await pause(30);
  }
}

export interface Source {
  /** The station's link in the settings, TOML. */
  readonly settings: string;
  readonly nodeArgs: readonly string[];
  /** The link is gone until it is brought back. */
  lose(): void | Promise<void>;
  back(): void | Promise<void>;
  close(): Promise<void>;
}

/** A station that sends a line ten times a second, plugged in by a cable. */
export async function onCable(): Promise<Source> {
  const port = await plugPty();
  let watts = FIRST_W;
  const beat = setInterval(
    () => port.write(`{"inputPowerW":${watts++},"outputPowerW":40,"stateOfChargePct":60}\n`),
    EVERY_MS,
  );
  return {
    settings: `adapter = "lines"\ntransport = { kind = "serial", path = "${port.path}", baud = 115200 }\n`,
    nodeArgs: [],
    lose: port.unplug,
    back: port.plug,
    async close() {
      clearInterval(beat);
      await port.remove();
    },
  };
}

/** The same over Bluetooth; where it is lost it is lost again every time it was found. */
export async function onRadio(): Promise<Source> {
  const dir = mkdtempSync(join(tmpdir(), 'air-'));
  const values = { inputW: 181, outputW: 61, voltageV: 26.4, availableWh: 1370, toEmptyMin: null, toFullMin: 130 };
  const services = [batteryService(batteryValues({ levelPct: 71, ...values }))];
  const radio = createSoftRadio([{ address: 'c0:00:00:00:00:01', name: 'Honey shed', services }]);
  await radio.listen(join(dir, 'air'));
  const shed = radio.peripherals[0]!;
  let percent = 0;
  const beat = setInterval(() => shed.tell(BATTERY.level, levelValue(percent++ % 100)), EVERY_MS);
  let storm: NodeJS.Timeout | undefined;
  const hook = pathToFileURL(built('simulators/radio/hook.js')).href;
  return {
    settings: 'adapter = "ble-battery"\ntransport = { kind = "ble", name = "Honey shed", service = "180f" }\n',
    nodeArgs: ['--import', `${hook}?${new URLSearchParams({ radio: join(dir, 'air') })}`],
    lose() {
      shed.loseLink();
      storm = setInterval(() => shed.loseLink(), 300);
    },
    back: () => clearInterval(storm),
    async close() {
      for (const timer of [beat, storm]) clearInterval(timer);
      await radio.close();
      rmSync(dir, { recursive: true, force: true });
    },
  };
}

/** Processes that a process started. */
const childrenOf = (pid: number): number[] =>
  readdirSync(`/proc/${pid}/task`).flatMap(task =>
    readFileSync(`/proc/${pid}/task/${task}/children`, 'utf8').split(' ').filter(Boolean).map(Number),
  );

export type Stage = Awaited<ReturnType<typeof stackedStage>>;

/** @param disk the folder in which the data lie */
export async function stackedStage(source: Source, disk: string) {
  const folders = freshFolders(
    `[record]\ncommitIntervalS = 1\n[[station]]\nid = "${STATION}"\nname = "Honey shed"\nratedWh = 1000\nzone = "UTC"\n${source.settings}`,
  );
  const at = { ...folders, data: join(disk, 'data') };
  const [clock, failing] = [join(at.dir, 'clock'), join(at.dir, 'failing')];
  const shims = ['stepped-clock', 'failing-flush', 'failing-call'].map(name => shimIn(at.dir, name));
  const setClock = (wallMs: number, bootMs: number) =>
    writeFileSync(clock, new BigInt64Array([BigInt(wallMs), BigInt(bootMs)]), { flag: 'r+' });
  writeFileSync(clock, new BigInt64Array(2));
  const env = { LD_PRELOAD: shims.join(':'), CLOCK_OFF: clock, FAIL_FLUSH: failing };
  const told: WireReading[] = [];
  const refusals: string[] = [];
  let asleep: number[] = [];
  const acknowledged = new Set<WireReading>();
  let [agent, tap]: [AgentProcess | null, LiveTap | null] = [null, null];
  /** From where on `told` is of the agent that runs now. */
  let toldBefore = 0;

  const start = async (more: Record<string, string> = {}) =>
    startAgentProcess(at, [], source.nodeArgs, { ...env, ...more });
  const running = () => {
    if (agent === null) throw new Error('no agent runs');
    return agent;
  };
  async function health(): Promise<WireHealth> {
    const now = await running().api<WireHealth>('api/health');
    const savedAt = Date.parse(now.saved.lastSavedAt ?? '1970');
    for (const reading of told.slice(toldBefore)) if (Date.parse(reading.at) <= savedAt) acknowledged.add(reading);
    return now;
  }
  async function end(signal: NodeJS.Signals): Promise<number | null> {
    const ending = running();
    agent = null;
    const status = await ending.end(signal);
    tap?.close();
    return status;
  }
  const stage = {
    at,
    disk,
    record: join(at.data, 'record'),
    told,
    /** Why an agent did not start, in its own words. */
    refusals,
    source,
    /** By how much the wall clock and the clock since boot are off. */
    clock: setClock,
    failFlushes: (they: boolean) => (they ? writeFileSync(failing, '') : rmSync(failing)),
    isUp: () => agent !== null,
    health,
    now: () => running().api<NowAnswer>(`api/stations/${STATION}/now`),
    end,
    /** Starts an agent where none runs; one that refuses must say why. */
    async start(): Promise<void> {
      if (agent !== null) return;
      try {
        agent = await start();
      } catch (error) {
        refusals.push(String(error));
        return;
      }
      toldBefore = told.length;
      tap = await tapLive(agent.url, reading => told.push(reading as unknown as WireReading));
    },
    /** Starts one that is killed before a call to the disk of its record; one that needs fewer is killed as it is up. */
    async startKilled(beforeCall: number): Promise<void> {
      const more = { FAIL_NAME: 'record', FAIL_AT: String(beforeCall), FAIL_WHAT: 'kill' };
      await start(more).then(
        came => came.end('SIGKILL'),
        (error: unknown) => expect(String(error)).toContain('ended with null'),
      );
    },
    /** The agent and all that it started stand still. */
    sleep(): void {
      const pid = running().child.pid!;
      asleep = [pid, ...childrenOf(pid)];
      for (const one of asleep) process.kill(one, 'SIGSTOP');
    },
    /** They run on, as far as they still live. */
    wake(): void {
      for (const one of asleep.splice(0)) if (existsSync(`/proc/${one}`)) process.kill(one, 'SIGCONT');
    },
    killAdapters(): void {
      const pids = childrenOf(running().child.pid!).filter(pid =>
        readFileSync(`/proc/${pid}/cmdline`, 'utf8').includes('adapter-child.js'),
      );
      expect(pids).toHaveLength(1);
      for (const pid of pids) process.kill(pid, 'SIGKILL');
    },
    /** Until a reading that came after this moment is told, and one that was told is acknowledged. */
    async goesOn(): Promise<void> {
      const before = told.length;
      await until(
        () => told.length,
        length => length > before + 4,
      );
      const newestAt = Date.parse(told.at(-1)!.at);
      await until(health, ({ saved }) => saved.trouble === null && Date.parse(saved.lastSavedAt ?? '1970') >= newestAt);
    },
    acknowledged,
    complaints: () => (agent === null ? '' : agent.complaints()),
  };
  onTestFinished(async () => {
    stage.wake();
    if (agent !== null) await end('SIGKILL');
    await source.close();
    at.remove();
  });
  mkdirSync(at.data, { recursive: true, mode: 0o700 });
  return stage;
}
