/**
 * `wattkeep adapter play CAPTURE`: a capture through an adapter, each frame with what came of it. The adapter runs
 * contained; what it says is printed as plain text.
 */
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { setTimeout as pause } from 'node:timers/promises';
import { type Capture, WattkeepError } from '#kit';
import type { PlayEnd, PlayStep } from '../host/play.ts';
import { playContained } from '../host/play-contained.ts';
import { orderOf } from '../host/play-lines.ts';
import { parseArguments } from '../settings/index.ts';
import { placeOf } from './adapter-place.ts';
import {
  ADAPTER_PLAY_HELP,
  CAPTURE_FIX,
  cannotPlay,
  playedText,
  playLine,
  stepForPrograms,
} from './adapter-play-words.ts';
import { MEND_FIX } from './adapter-words.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { readCapture } from './read-capture.ts';
import { timers } from './surroundings.ts';

export async function adapterPlay({ argv, dist }: Invocation): Promise<number> {
  const { values, switches, words } = parseArguments(argv, {
    values: ['adapter', 'settings'],
    switches: ['step', 'live', 'json', 'help'],
  });
  if (switches.has('help')) {
    process.stdout.write(ADAPTER_PLAY_HELP);
    return 0;
  }
  const [file, ...others] = words;
  if (file === undefined || others.length > 0) throw usage('adapter play takes one capture.', CAPTURE_FIX);
  const capture = readCapture(file);
  const adapter = values.get('adapter')?.[0] ?? 'lines';
  const { steps, end } = await play(adapter, capture, dist, values.get('settings')?.[0]);
  if (switches.has('json')) process.stdout.write(`${JSON.stringify({ steps: steps.map(stepForPrograms), ...end })}\n`);
  else {
    await show(steps, switches);
    process.stdout.write(playedText(end));
  }
  return 0;
}

/** At once, at the pace of the capture, or a frame at each line of standard input. */
async function show(steps: readonly PlayStep[], switches: ReadonlySet<string>): Promise<void> {
  const keys = switches.has('step') ? createInterface({ input: process.stdin })[Symbol.asyncIterator]() : null;
  let shownMs = 0;
  for (const [i, step] of steps.entries()) {
    if (switches.has('live') && step.atMs > shownMs) await pause(step.atMs - shownMs);
    shownMs = Math.max(shownMs, step.atMs);
    if (step.step === 'frame' && i > 0 && keys !== null) await keys.next();
    process.stdout.write(playLine(step));
  }
}

async function play(adapter: string, capture: Capture, dist: string, settings: string | undefined) {
  const cacheDir = mkdtempSync(join(tmpdir(), 'wattkeep-play-'));
  try {
    const place = await placeOf(adapter, { dist, cacheDir, settings });
    const steps: PlayStep[] = [];
    let end: PlayEnd | null = null;
    let fault: string | null = null;
    const why = await playContained({
      entryPath: join(dist, 'agent', 'host', 'play-child.js'),
      source: place.own ? place.adapter : 'built-in',
      order: { adapter: place.adapter, capture: orderOf(capture) },
      timers,
      onLine(line) {
        if ('step' in line) steps.push(line.step);
        else if ('end' in line) end = line.end;
        else fault = line.fault;
      },
      onPrinted: text => void process.stderr.write(text),
    });
    const wrong = fault ?? why;
    if (wrong !== null || end === null)
      throw new WattkeepError('ADAPTER_CRASHED', cannotPlay(adapter, wrong ?? 'it gave no end'), MEND_FIX);
    return { steps, end: end as PlayEnd };
  } finally {
    rmSync(cacheDir, { recursive: true, force: true });
  }
}
