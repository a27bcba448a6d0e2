/**
 * Measured irradiance from a CSV of numbers: `time,ghiWm2` and, where known, `dniWm2`, `dhiWm2`, `airTempC`, `windMs`;
 * time is ISO 8601 with an offset or epoch ms, an empty cell was not measured. What is wrong is told with its line.
 */
import type { MeasuredRow } from './plant/light/measured-sky.ts';

const COLUMNS = ['time', 'ghiWm2', 'dniWm2', 'dhiWm2', 'airTempC', 'windMs'] as const;
type Column = (typeof COLUMNS)[number];

/** @returns rows in order of time, or one sentence on what is wrong */
export function readIrradiance(text: string): readonly MeasuredRow[] | string {
  const [header = '', ...lines] = text.split(/\r?\n/);
  const names = header.split(',').map(name => name.trim());
  const strange = names.find(name => !COLUMNS.includes(name as Column));
  if (strange !== undefined) return `line 1: "${strange}" is none of ${COLUMNS.join(', ')}`;
  if (!names.includes('time') || !names.includes('ghiWm2')) return 'line 1: the columns time and ghiWm2 are needed';
  const rows: MeasuredRow[] = [];
  for (const [i, line] of lines.entries()) {
    if (line.trim() === '') continue;
    const row = readRow(names, line.split(','));
    if (typeof row === 'string') return `line ${i + 2}: ${row}`;
    if (row === null) continue;
    if (row.at <= (rows.at(-1)?.at ?? Number.NEGATIVE_INFINITY)) return `line ${i + 2}: not after the line before`;
    rows.push(row);
  }
  return rows.length < 2 ? 'two rows with an irradiance are needed' : rows;
}

/** null where the total was not measured. */
function readRow(names: readonly string[], cells: readonly string[]): MeasuredRow | null | string {
  if (cells.length !== names.length) return `${cells.length} cells where the first line has ${names.length}`;
  const cell = (name: Column): string => cells[names.indexOf(name)]?.trim() ?? '';
  const bad = names.find(
    name => name !== 'time' && cell(name as Column) !== '' && !Number.isFinite(Number(cell(name as Column))),
  );
  if (bad !== undefined) return `${bad} is "${cell(bad as Column)}", not a number`;
  const time = cell('time');
  const at = /^\d+$/.test(time) ? Number(time) : /(Z|[+-]\d\d:?\d\d)$/.test(time) ? Date.parse(time) : Number.NaN;
  if (Number.isNaN(at)) return `time is "${time}", not ISO 8601 with an offset nor epoch ms`;
  const value = (name: Column): number | null => (cell(name) === '' ? null : Number(cell(name)));
  const globalWm2 = value('ghiWm2');
  if (globalWm2 === null) return null;
  if (globalWm2 < -20 || globalWm2 > 2000) return `ghiWm2 is ${globalWm2}, outside -20 to 2000`;
  return {
    at,
    globalWm2,
    beamWm2: value('dniWm2'),
    diffuseWm2: value('dhiWm2'),
    airTempC: value('airTempC'),
    windMs: value('windMs'),
  };
}
