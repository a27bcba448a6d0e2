/**
 * How a verb finds the agent that runs on this data folder: its address and a secret of this run, in a file for the
 * owner alone. Whoever may read it may read the record as well.
 */
import { rmSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import { hindered, parse, readText, writePrivate } from './kept.ts';

const DoorFile = v.object({ url: v.string(), pid: v.number(), token: v.string() });
export type DoorFile = v.InferOutput<typeof DoorFile>;

const placeOf = (dataDir: string): string => join(dataDir, 'running.json');

/** @returns what hindered it, null where it stands: the agent runs without it, only its verbs do not find it */
export const writeDoor = (dataDir: string, door: DoorFile): string | null =>
  hindered(() => writePrivate(placeOf(dataDir), `${JSON.stringify(door)}\n`));

/** null where no agent runs on it, or none that ended as it should. */
export function readDoor(dataDir: string): DoorFile | null {
  const text = readText(placeOf(dataDir));
  const read = v.safeParse(DoorFile, text === null ? null : parse(text));
  return read.success ? read.output : null;
}

/** Takes away this process's own. */
export function removeDoor(dataDir: string): void {
  if (readDoor(dataDir)?.pid === process.pid) hindered(() => rmSync(placeOf(dataDir), { force: true }));
}
