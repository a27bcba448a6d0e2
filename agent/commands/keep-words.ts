/** Words of `wattkeep snapshot` and `wattkeep restore`. */
import type { Contents, StationContents } from '../store/keep/contents.ts';
import type { Manifest } from '../store/keep/manifest.ts';

export const SNAPSHOT_HELP = `usage: wattkeep snapshot FILE [--data DIR] [--json]

A whole copy of your record in one file, made beside a running agent, with a manifest (FILE.json) that proves it later.
Keep both together, on another disk. A copy of the record's file made by other means can lack its newest hours.

example: wattkeep snapshot /media/stick/shed-november.db
`;

export const RESTORE_HELP = `usage: wattkeep restore FILE [--write] [--data DIR] [--json]

Puts a snapshot in the place of your record, once it was proven against its manifest. Without --write it only tells what
would be replaced. The agent must be stopped; the present record stays beside it under a dated name.

example: wattkeep restore /media/stick/shed-november.db --write
`;

const instant = (at: number | null): string => (at === null ? 'never' : new Date(at).toISOString());
const kWh = (milliJ: number): string => `${(milliJ / 3.6e9).toFixed(1)} kWh`;

/** Of readings that were let go only minutes are left. */
const minutesTold = (letGo: number | undefined): string =>
  letGo === undefined || letGo === 0 ? '' : ` and the minutes of ${letGo} more`;

const stationTold = ({ name, readings, letGo, firstAt, lastAt, days, solarMilliJ }: StationContents): string =>
  `  ${name}: ${readings} readings${minutesTold(letGo)} on ${days} days, ${instant(firstAt)} to ${instant(lastAt)}, ${kWh(solarMilliJ)} of sun\n`;

export const contentsTold = ({ stations }: Contents): string =>
  stations.length === 0 ? '  nothing yet\n' : stations.map(stationTold).join('');

export const snapshotMade = (file: string, manifest: Manifest): string =>
  `${file}: ${(manifest.bytes / 1e6).toFixed(1)} MB, checked; its manifest is ${file}.json.\n${contentsTold(manifest)}`;

export const NO_RECORD = 'There is no record there yet.\n';
export const presentUnread = (why: string): string => `The record there now cannot be read: ${why}\n`;

/** What the snapshot ends before. */
function lost(present: Contents, manifest: Manifest): string {
  const lines = present.stations.flatMap(({ name, lastAt }) => {
    const held = manifest.stations.find(s => s.name === name);
    if (lastAt === null || (held?.lastAt ?? 0) >= lastAt) return [];
    return [`  ${name}: what was read after ${instant(held?.lastAt ?? null)}, up to ${instant(lastAt)}\n`];
  });
  return lines.length === 0 ? '' : `The snapshot does not hold:\n${lines.join('')}`;
}

export const restorePlanned = (
  file: string,
  manifest: Manifest,
  present: Contents | null,
  trouble: string | null,
): string =>
  `${file}, made ${manifest.madeAt}, is whole and holds:\n${contentsTold(manifest)}` +
  (trouble !== null
    ? presentUnread(trouble)
    : present === null
      ? NO_RECORD
      : `It would replace:\n${contentsTold(present)}${lost(present, manifest)}`);

export const NOTHING_CHANGED = 'Nothing was changed; stop the agent and add --write to restore.\n';

export const restored = (kept: string | null): string =>
  kept === null ? 'Restored.\n' : `Restored. What was there before is kept as ${kept}.\n`;
