import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ROOT, sourceFiles } from './rooms.ts';

describe('the sources', () => {
  const sizes = sourceFiles()
    .map(file => ({ file, lines: readFileSync(join(ROOT, file), 'utf8').split('\n').length }))
    .sort((a, b) => a.lines - b.lines);
  const at = (share: number) => sizes[Math.floor(share * (sizes.length - 1))]!.lines;

  it('stay small: median, 90 % and ceiling of lines a file', () => {
    console.log(
      `lines a file: median ${at(0.5)}, p90 ${at(0.9)}, largest ${sizes.at(-1)!.file} ${sizes.at(-1)!.lines}`,
    );
    expect(at(0.5)).toBeLessThanOrEqual(110);
    expect(at(0.9)).toBeLessThanOrEqual(250);
    expect(sizes.filter(s => s.lines > 400)).toEqual([]);
  });

  it('carry no left-over markers and no suppressed check without a reason', () => {
    const broken = sourceFiles().filter(file => {
      const text = readFileSync(join(ROOT, file), 'utf8');
      return (
        /\b(TODO|FIXME|XXX|HACK)\b/.test(text) ||
        /biome-ignore [^:]+:\s*$/m.test(text) ||
        /@ts-(ignore|nocheck)/.test(text)
      );
    });
    expect(broken).toEqual([]);
  });
});
