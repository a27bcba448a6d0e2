/**
 * Commands that drive a running simulator, one a line of text, each answered by one object: what a test needs to pull
 * the cable, send nonsense, and ask the plant's own ledger.
 */
import { composeFaults, type Fault, faultFromText, flood, garbage, type Piece, type Random } from './faults.ts';
import type { Plant } from './plant/station.ts';
import type { Cable } from './wire/cable.ts';
import { encodeLine } from './wire/lines.ts';

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
  quit(): void;
}

type Answer = Record<string, unknown>;
type Command = (args: readonly string[], run: Running) => Answer | Promise<Answer>;

const instant = (text: string | undefined): number =>
  text === undefined ? Number.NaN : /^\d+$/.test(text) ? Number(text) : Date.parse(text);
const numberOr = (text: string | undefined, fallback: number): number => (text === undefined ? fallback : Number(text));
const currentLine = (run: Running) => {
  run.catchUp();
  return encodeLine(run.plant.sample());
};

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
    const line = currentLine(run);
    run.emit([{ bytes: line.subarray(0, line.length >> 1), afterMs: 0 }]);
    return { bytes: line.length >> 1 };
  },
  garbage: ([bytes], run) => {
    const count = Math.min(numberOr(bytes, 4096), 1_000_000_000);
    run.emit(garbage(run.random, count));
    return { bytes: count };
  },
  flood: ([hz, seconds], run) => {
    const pieces = flood(currentLine(run), numberOr(hz, 10_000), numberOr(seconds, 1));
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
  mains: ([word], run) => {
    if (word !== 'on' && word !== 'off') return { refused: 'mains on|off' };
    run.catchUp();
    run.plant.setMains(word === 'on');
    return { mains: word };
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
