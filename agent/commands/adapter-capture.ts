/**
 * `wattkeep adapter capture`: what a station says and is asked, with times, into a file; from any transport, with an
 * adapter that asks or without one.
 */
import { closeSync, existsSync, openSync, writeSync } from 'node:fs';
import { join } from 'node:path';
import { type CapturedChunk, captureHead, captureLine } from '#kit';
import { createRadioHost } from '../host/radio-host.ts';
import { describeLink } from '../transports/index.ts';
import { captureOptions } from './adapter-capture-options.ts';
import { ADAPTER_CAPTURE_HELP, captured, capturing, chunkLine } from './adapter-capture-words.ts';
import { type Ending, type Recorded, recordBle, recordStream, recordThrough } from './adapter-record.ts';
import type { Invocation } from './invocation.ts';
import { usage } from './numbers.ts';
import { clock, timers } from './surroundings.ts';

export async function adapterCapture({ argv, dist }: Invocation): Promise<number> {
  if (argv.includes('--help')) {
    process.stdout.write(ADAPTER_CAPTURE_HELP);
    return 0;
  }
  const options = captureOptions(argv);
  const { out, transport, quiet } = options;
  if (existsSync(out)) throw usage(`${out} is there already. Nothing was changed.`, 'Choose another --out.');
  const file = openSync(out, 'wx', 0o600);
  const begunMs = clock.monoMs();
  const counts = { chunks: 0, bytesIn: 0, bytesOut: 0 };
  const begunAt = new Date(clock.nowMs()).toISOString();
  writeSync(file, captureHead({ transport: transport.kind, begunAt, link: describeLink(transport) }));
  const take = (way: CapturedChunk['way'], place: string, bytes: Uint8Array): void => {
    const chunk = { atMs: clock.monoMs() - begunMs, way, place, bytes };
    writeSync(file, captureLine(chunk));
    counts.chunks += 1;
    counts[way === 'in' ? 'bytesIn' : 'bytesOut'] += bytes.length;
    if (!quiet) process.stderr.write(chunkLine(chunk));
  };
  const radio = createRadioHost({
    entryPath: join(dist, 'agent', 'host', 'radio-child.js'),
    clock,
    timers,
    environment: process.env,
    onTrouble: text => process.stderr.write(text),
  });
  const note = (value: object): void => void writeSync(file, `${JSON.stringify(value)}\n`);
  try {
    if (!quiet) process.stderr.write(capturing(describeLink(transport), options.seconds));
    const record = options.adapter !== null ? recordThrough : transport.kind === 'ble' ? recordBle : recordStream;
    const ending = createEnding(options.seconds);
    const ended = await record({ ...options, dist, take, note, ending, radio } satisfies Recorded);
    if (options.json) process.stdout.write(`${JSON.stringify({ out, ...counts, ended })}\n`);
    else process.stdout.write(captured(out, counts, ended));
    return ended === null || counts.chunks > 0 ? 0 : 1;
  } finally {
    await radio.close();
    closeSync(file);
  }
}

/** Over so long after the link opened, or when the owner has had enough. */
function createEnding(seconds: number | null): Ending {
  let end: () => void = () => undefined;
  let begun = false;
  const over = new Promise<void>(resolve => {
    end = resolve;
  });
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.once(signal, () => end());
  return {
    over,
    begin() {
      if (!begun && seconds !== null) timers.after(seconds * 1000, end);
      begun = true;
    },
  };
}
