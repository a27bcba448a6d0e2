import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { ERROR_CODES } from '#kit';
import { ROOT } from './rooms.ts';

describe('the error codes', () => {
  const text = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
  const section = text.slice(text.indexOf('## Error codes')).split(/\n## /)[0]!;
  const documented = [...section.matchAll(/^\*\*([A-Z_]+)\*\* (.+)$/gm)].map(match => match[1]!);

  it('are the documented ones, both ways', () => {
    expect([...documented].sort()).toEqual([...ERROR_CODES].sort());
  });
});
