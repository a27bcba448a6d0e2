import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { arrowTable, importsOf, ROOT, roomOf, sourceFiles, target } from './rooms.ts';

const table = arrowTable();
const files = sourceFiles();
const packageOf = (specifier: string) =>
  specifier
    .split('/')
    .slice(0, specifier.startsWith('@') ? 2 : 1)
    .join('/');

describe('the arrows of the house', () => {
  it('are read from a table that names every room with a project of its own', () => {
    const references: { path: string }[] = JSON.parse(readFileSync(join(ROOT, 'tsconfig.json'), 'utf8')).references;
    expect(table.map(room => room.path).sort()).toEqual(
      references
        .map(r => r.path)
        .filter(path => path !== 'test')
        .sort(),
    );
  });

  it('are the references of each room, so that a forbidden import does not compile', () => {
    for (const room of table) {
      const config = JSON.parse(readFileSync(join(ROOT, room.path, 'tsconfig.json'), 'utf8'));
      const referenced = (config.references as { path: string }[]).map(r => join(room.path, r.path));
      expect([room.path, referenced.sort()]).toEqual([room.path, [...room.rooms].sort()]);
      expect([room.path, config.compilerOptions.types ?? []]).toEqual([room.path, room.node ? ['node'] : []]);
    }
  });

  it('hold for every import in the tree', () => {
    expect(files.length).toBeGreaterThan(20);
    const broken: string[] = [];
    for (const file of files) {
      const room = roomOf(file, table);
      if (room === undefined) {
        broken.push(`${file} is in no room`);
        continue;
      }
      for (const specifier of importsOf(file)) {
        const to = target(file, specifier);
        if (to !== undefined) {
          const other = roomOf(to, table);
          if (other?.path !== room.path && !room.rooms.includes(other?.path ?? '')) broken.push(`${file} → ${to}`);
        } else if (specifier.startsWith('node:')) {
          if (!room.node) broken.push(`${file} → ${specifier}`);
        } else if (!room.packages.includes(packageOf(specifier))) broken.push(`${file} → ${specifier}`);
      }
    }
    expect(broken).toEqual([]);
  });

  it('leave no clock and no chance in the pure rooms', () => {
    const pure = ['agent/energy', 'protocol-adapters/kit', 'agent/derive', 'agent/stations', 'simulators/plant'];
    const impure =
      /\bDate\.now\b|\bnew Date\(\)|\bMath\.random\b|\bperformance\.|\bset(?:Timeout|Interval)\(|\bprocess\./;
    const broken = files
      .filter(file => pure.some(room => file.startsWith(`${room}/`)))
      .filter(file => impure.test(readFileSync(join(ROOT, file), 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '')));
    expect(broken).toEqual([]);
  });
});
