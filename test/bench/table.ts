/** The figures as a plain table, one line each: value, goal, floor. */
import { type Figure, isMissed } from './figure.ts';

const HEAD = ['', 'median', 'unit', 'goal', 'floor', '× floor', 'samples'];

/** Three significant digits, no exponent. */
export function digits(value: number): string {
  const size = Math.abs(value);
  const decimals = size === 0 || size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3;
  return value.toFixed(decimals);
}

function cells(figure: Figure): string[] {
  const { name, value, unit, goal, floor, samples } = figure;
  const goalCell = goal === undefined ? '' : `${goal.text}${isMissed(figure) ? '  MISSED' : ''}`;
  return [
    name,
    value === null ? 'not measured' : digits(value),
    unit,
    goalCell,
    floor === undefined ? '' : digits(floor),
    floor === undefined || value === null || floor === 0 ? '' : digits(value / floor),
    samples ?? '',
  ];
}

export function tableOf(title: string, figures: readonly Figure[]): string {
  const rows = [HEAD, ...figures.map(cells)];
  const widths = HEAD.map((_, i) => Math.max(...rows.map(row => row[i]!.length)));
  const lines = rows.map(row =>
    row
      .map((cell, i) => (i === 1 || i === 4 || i === 5 ? cell.padStart(widths[i]!) : cell.padEnd(widths[i]!)))
      .join('  ')
      .trimEnd(),
  );
  const notes = figures.flatMap(({ name, floorIs, note }) => [
    ...(floorIs === undefined ? [] : [`  floor of ${name}: ${floorIs}`]),
    ...(note === undefined ? [] : [`  ${name}: ${note}`]),
  ]);
  return [title, ...lines, ...new Set(notes), ''].join('\n');
}
