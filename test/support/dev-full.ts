/** A test that needs /dev/full, the disk that is always full: Linux has it. Elsewhere pending, in CI a failure. */
import { existsSync } from 'node:fs';
import { it } from 'vitest';

export function needsDevFull(name: string, run: () => void, timeoutMs?: number): void {
  if (existsSync('/dev/full') || process.env.CI === 'true') it(name, run, timeoutMs);
  else it.todo(`${name} (needs /dev/full: run it on Linux)`);
}
