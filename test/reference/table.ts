/** Wide tables as they are read: names in the first line, one row a line, cells parted by spaces. */

/** Cells that are numbers become numbers; `-` is null. The caller names the row's type. */
export function table<Row extends object>(text: string): Row[] {
  const [head = '', ...lines] = text.trim().split('\n');
  const names = head.trim().split(/\s+/);
  return lines.map(line => {
    const cells = line.trim().split(/\s+/);
    if (cells.length !== names.length) throw new Error(`${cells.length} cells under ${names.length} names: ${line}`);
    return Object.fromEntries(names.map((name, i) => [name, cellOf(cells[i]!)])) as Row;
  });
}

const cellOf = (cell: string): number | string | null =>
  cell === '-' ? null : Number.isFinite(Number(cell)) ? Number(cell) : cell;
