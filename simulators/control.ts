/**
 * Commands that drive a running simulator, one a line of text, each answered by one object: what a test needs to pull
 * the cable, send nonsense, and ask the plant's own ledger.
 */
import { composeFaults, type Fault, faultFromText, flood, garbage, type Piece, type Random } from './faults.ts';
import { isSpotId, SHED_SPOTS, type SpotId } from './honey-shed-spots.ts';
import type { Plant } from './plant/station.ts';
import type { Cable } from './wire/cable.ts';
import type { SunspecDevice } from './wire/modbus/device.ts';

export interface Running {
  readonly plant: Plant;
  readonly cable: Cable;
  readonly random: Random;
  readonly faults: Fault[];
  /** Lives on to the present. */
  catchUp(): void;
  /** Sends pieces at their times, past the faults. */
  emit(pieces: readonly Piece[]): void;
  hushed: boolean;
  /** What it says now, or said last where it only answers. */
  frame: () => Uint8Array;
  /** Null where it speaks lines. */
  readonly device: SunspecDevice | null;
  /** Somebody takes the panels to a spot of the yard. */
  carry(spot: SpotId): void;
  quit(): void;
}

type Answer = Record<string, unknown>;
type Command = (args: readonly string[], run: Running) => Answer | Promise<Answer>;

const instant = (text: string | undefined): number =>
  text === undefined ? Number.NaN : /^\d+$/.test(text) ? Number(text) : Date.parse(text);
const numberOr = (text: string | undefined, fallback: number): number => (text === undefined ? fallback : Number(text));
/** Does `act` to the device; a plant that speaks lines has none. */
function toDevice({ device }: Running, act: (device: SunspecDevice) => boolean, usage: string): Answer {
  if (device === null) return { refused: 'only with --protocol sunspec' };
  return act(device) ? {} : { refused: usage };
}

/** Pulls or plugs in what somebody can reach. */
function plugged(run: Running, word: string | undefined, what: 'household' | 'panels'): Answer {
  if (word !== 'in' && word !== 'out') return { refused: `${what} in|out` };
  run.catchUp();
  run.plant.byHand[what] = word === 'in';
  return { [what]: word };
}

const COMMANDS: Record<string, Command> = {
  ledger: ([from, to], run) => {
    run.catchUp();
    const [fromMs, toMs] = [instant(from), instant(to)];
    if (!(fromMs <= toMs)) return { refused: 'ledger FROM TO: two instants, ISO 8601 or epoch ms' };
    return { fromMs, toMs, ...run.plant.ledger.between(fromMs, toMs) };
  },
  now: (_, run) => {
    run.catchUp();
    return {
      atMs: run.plant.nowMs(),
      ...run.plant.sample(),
      storedWh: run.plant.storedWh(),
      drawing: run.plant.drawing(),
    };
  },
  unplug: async (_, run) => {
    await run.cable.unplug();
    return {};
  },
  replug: async (_, run) => {
    await run.cable.replug();
    return { ...run.cable.where };
  },
  hush: (_, run) => {
    run.hushed = true;
    return {};
  },
  speak: (_, run) => {
    run.hushed = false;
    return {};
  },
  half: (_, run) => {
    const frame = run.frame();
    run.emit([{ bytes: frame.subarray(0, frame.length >> 1), afterMs: 0 }]);
    return { bytes: frame.length >> 1 };
  },
  garbage: ([bytes], run) => {
    const count = Math.min(numberOr(bytes, 4096), 1_000_000_000);
    run.emit(garbage(run.random, count));
    return { bytes: count };
  },
  flood: ([hz, seconds], run) => {
    const pieces = flood(run.frame(), numberOr(hz, 10_000), numberOr(seconds, 1));
    run.emit(pieces);
    return { pieces: pieces.length };
  },
  fault: ([text = ''], run) => {
    const fault = faultFromText(run.random, text);
    if (fault === null) return { refused: `fault ${text}` };
    run.faults.push(fault);
    return { faults: run.faults.length };
  },
  calm: (_, run) => {
    run.faults.length = 0;
    return {};
  },
  freeze: ([word], run) =>
    toDevice(
      run,
      device => {
        if (word === 'on' || word === 'off') device.freeze(word === 'on');
        return word === 'on' || word === 'off';
      },
      'freeze on|off',
    ),
  counters: ([word], run) =>
    toDevice(
      run,
      device => {
        if (word === 'reset' || word === 'wrap') device.counters(word);
        return word === 'reset' || word === 'wrap';
      },
      'counters reset|wrap',
    ),
  refuse: ([word], run) =>
    toDevice(
      run,
      device => {
        const code = word === 'off' ? null : Number(word);
        if (code !== null && !(code >= 1 && code <= 255)) return false;
        device.refuse(code);
        return true;
      },
      'refuse CODE|off',
    ),
  mains: ([word], run) => {
    if (word !== 'on' && word !== 'off') return { refused: 'mains on|off' };
    run.catchUp();
    run.plant.setMains(word === 'on');
    return { mains: word };
  },
  household: ([word], run) => plugged(run, word, 'household'),
  panels: ([word], run) => plugged(run, word, 'panels'),
  outlets: ([word], run) => {
    if (word !== 'on' && word !== 'off' && word !== 'habit') return { refused: 'outlets on|off|habit' };
    run.catchUp();
    run.plant.byHand.outlets = word;
    return { outlets: word };
  },
  load: ([watts, side = 'ac'], run) => {
    const powerW = Number(watts);
    if (!(powerW >= 0) || (side !== 'ac' && side !== 'dc')) return { refused: 'load WATTS [ac|dc]' };
    run.catchUp();
    run.plant.byHand.steadyW[side] = powerW;
    return { load: powerW, side };
  },
  spot: ([id = ''], run) => {
    if (!isSpotId(id)) return { refused: `spot ${SHED_SPOTS.map(spot => spot.id).join('|')}` };
    run.carry(id);
    return { spot: id };
  },
  quit: (_, run) => {
    run.quit();
    return {};
  },
};

/** Obeys one line. The answer carries the command's word, or `refused` with the reason. */
export async function obey(line: string, run: Running): Promise<Answer> {
  const [word = '', ...args] = line.trim().split(/\s+/);
  const command = Object.hasOwn(COMMANDS, word) ? COMMANDS[word] : undefined;
  if (command === undefined) return { refused: `no command "${word}"; ${Object.keys(COMMANDS).join(', ')}` };
  return { command: word, ...(await command(args, run)) };
}

/** The pieces of one frame after the faults in force. */
export const through = (run: Running, bytes: Uint8Array, atMs: number): readonly Piece[] =>
  composeFaults(run.faults)({ bytes, afterMs: 0 }, atMs);
