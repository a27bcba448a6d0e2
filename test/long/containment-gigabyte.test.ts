import { expect, it } from 'vitest';
import { garbageStage, throughGarbage } from '../support/containment-stage.ts';

it('a gigabyte of garbage from one station leaves another reading, and the agent as small as it was', async () => {
  const stage = await garbageStage(1_000_000_000);
  try {
    const { rejected, growth } = await throughGarbage(stage);
    expect(rejected).toBeGreaterThan(1_000_000);
    expect(stage.failures().every(failure => failure === 'unreadable')).toBe(true);
    expect(growth).toBeLessThan(150_000_000);
  } finally {
    await stage.close();
  }
});
