/**
 * A folder of recordings with its MANIFEST.csv: case, kind, rated_wh, start_at, at_10pct, … one row a recording
 * CASE.csv.gz or CASE.csv. Instants are epoch ms. Rows before `start_at` are a log of the load without a state of charge.
 */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

export interface Case {
  name: string;
  kind: string;
  file: string;
  ratedWh: number;
  startAt: number;
  /** First instant at or below 10 %. */
  floorAt: number;
}

/** @throws Error in words where the folder has none */
export function casesIn(folder: string): Case[] {
  const manifest = join(folder, 'MANIFEST.csv');
  if (!existsSync(manifest)) throw new Error(`${manifest} is missing.`);
  const [head = '', ...lines] = readFileSync(manifest, 'utf8').trim().split(/\r?\n/);
  const names = head.split(',');
  return lines.map(line => {
    const cells = line.split(',');
    const cell = (name: string) => {
      const value = cells[names.indexOf(name)];
      if (value === undefined || value === '') throw new Error(`${manifest}: ${line} has no ${name}.`);
      return value;
    };
    const name = cell('case');
    const zipped = join(folder, `${name}.csv.gz`);
    return {
      name,
      kind: cell('kind'),
      file: existsSync(zipped) ? zipped : join(folder, `${name}.csv`),
      ratedWh: Number(cell('rated_wh')),
      startAt: Number(cell('start_at')),
      floorAt: Number(cell('at_10pct')),
    };
  });
}
