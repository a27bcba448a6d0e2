/** What `wattkeep import` says. */
import { MILLIJ_PER_WH } from '#energy/integrate';
import type { DayDelta } from '#messages';
import type { RecordingCounts } from '../exchange/read-recording.ts';
import type { RowsTaken } from './import-rows.ts';

export const IMPORT_HELP = `usage: wattkeep import FILE [--station ID] [--write] [--data DIR] [--settings FILE]

FILE is CSV, or CSV in gzip: time,inputPowerW,outputPowerW,stateOfChargePct and any other quantity by its name; time is
ISO 8601 with an offset, or epoch ms; an empty cell is missing. What export wrote is read back to the same totals; where
it wrote means of minutes, to within half a minute at the ends of each stretch, and less where it waited for a clock that
had been ahead. Without --write nothing is changed.

example: wattkeep import spring.csv --station shed --write
`;

const MS_PER_HOUR = 3_600_000;
const DAYS_SHOWN = 31;

const instant = (ms: number | null) => (ms === null ? 'never' : new Date(ms).toISOString());
const count = (n: number, one: string) => `${n} ${one}${n === 1 ? '' : 's'}`;

export const wouldImport = (name: string, counts: RecordingCounts, taken: RowsTaken): string =>
  `${counts.rows} rows for ${name}, ${instant(counts.fromMs)} to ${instant(counts.toMs)}; ` +
  `${counts.missing} empty cells, ${counts.outOfRange} values out of range.\n` +
  `${taken.older} of them lie before the record or in its gaps, ${taken.newer} after its end.\n` +
  `${leftOut(taken)}${gained(taken.days, 'would change')}Nothing was changed; add --write to import.\n`;

export const savedBefore = (n: number): string =>
  `${count(n, 'reading')} ${n === 1 ? 'was' : 'were'} saved before that`;
export const IMPORT_AGAIN = 'Mend that, then import the file again: what is recorded is left out, the rest is added.';

export function imported(name: string, _counts: RecordingCounts, taken: RowsTaken): string {
  const saved = taken.older + taken.newer;
  const what =
    saved === 0
      ? `Nothing new for ${name}.`
      : `${saved} readings saved for ${name}, ${instant(taken.fromMs)} to ${instant(taken.toMs)}.`;
  return `${what}\n${leftOut(taken)}${gained(taken.days, 'changed')}`;
}

function leftOut({ recorded, ahead }: RowsTaken): string {
  const why = [
    ...(recorded === 0 ? [] : [`${count(recorded, 'row')} where readings are recorded already`]),
    ...(ahead === 0 ? [] : [`${count(ahead, 'row')} later than now`]),
  ];
  return why.length === 0 ? '' : `Left out: ${why.join(', ')}.\n`;
}

/** What days gain or lose, with their sum; days that only have another least percent are not worth a line. */
function gained(days: readonly DayDelta[], verb: string): string {
  const moved = days.filter(
    d => d.coveredMs !== 0 || d.solarMilliJ !== 0 || d.inputMilliJ !== 0 || d.outputMilliJ !== 0,
  );
  if (moved.length === 0) return '';
  const shown = moved.slice(0, DAYS_SHOWN);
  const more = moved.length - shown.length;
  return [
    `${count(moved.length, 'day')} ${verb}, by:`,
    row(['', 'sun Wh', 'in Wh', 'out Wh', 'recorded h']),
    ...shown.map(day => row([day.date, ...sums([day])])),
    ...(more === 0 ? [] : [`and ${count(more, 'day')} more`]),
    row(['sum', ...sums(moved)]),
    '',
  ].join('\n');
}

const sums = (days: readonly DayDelta[]): string[] => {
  const of = (pick: (day: DayDelta) => number) => days.reduce((sum, day) => sum + pick(day), 0);
  const wh = (milliJ: number) => String(Math.round(milliJ / MILLIJ_PER_WH));
  return [
    wh(of(day => day.solarMilliJ)),
    wh(of(day => day.inputMilliJ)),
    wh(of(day => day.outputMilliJ)),
    (of(day => day.coveredMs) / MS_PER_HOUR).toFixed(1),
  ];
};

const row = (cells: readonly string[]): string =>
  cells.map((cell, i) => (i === 0 ? cell.padEnd(12) : cell.padStart(12))).join('');
