import { afterEach, describe, expect, it } from 'vitest';
import {
  adapterSource,
  type ContainmentStage,
  containmentStage,
  program,
  TICKING,
} from '../support/containment-stage.ts';
import { until } from '../support/real-time.ts';

let stage: ContainmentStage | null = null;
afterEach(async () => {
  await stage?.close();
  stage = null;
});
const leaking = async (decode: string, rssLimitBytes?: number): Promise<ContainmentStage> => {
  const adapter = adapterSource(decode, 'const kept = [];');
  const limit = rssLimitBytes === undefined ? {} : { rssLimitBytes };
  stage = await containmentStage({ adapter, device: program(TICKING), ...limit });
  return stage;
};
const READING = `return { quantities: { inputPowerW: 5 }, states: {}, quality: 'good', reasons: {} };`;

describe('an adapter that keeps more and more', () => {
  it('objects ends at its heap limit, for that reason, while another station goes on', {
    timeout: 60_000,
  }, async () => {
    const { failures, steadyGoesOn, growth } = await leaking(
      `for (let i = 0; i < 300000; i++) kept.push({ i, at: [i, i] }); ${READING}`,
    );
    await until(() => failures().length > 0);
    expect(failures()[0]).toBe('adapterMemory');
    await steadyGoesOn();
    expect(growth()).toBeLessThan(150_000_000);
  });

  it('buffers, which no heap limit sees, is ended by the watch over its memory', { timeout: 60_000 }, async () => {
    const { failures, status, steadyGoesOn } = await leaking(
      `kept.push(Buffer.alloc(4_000_000, 1)); ${READING}`,
      120_000_000,
    );
    await until(() => failures().length > 0);
    expect(status('hostile')).toMatchObject({
      failure: 'adapterMemory',
      detail: expect.stringMatching(/of memory, at most 120 MB/),
    });
    await steadyGoesOn();
  });

  it.runIf(process.platform === 'linux')(
    'buffers faster than any watch can look is stopped by the system, and the computer keeps its memory',
    { timeout: 60_000 },
    async () => {
      const { host, readings, steadyGoesOn } = await leaking(
        `let got = 0;
         try { for (;;) { kept.push(Buffer.alloc(20_000_000, 1)); got += 20; } } catch (cause) { kept.length = 0; }
         return { quantities: { inputPowerW: got }, states: {}, quality: 'good', reasons: {} };`,
        2_000_000_000,
      );
      await until(() => readings.some(reading => reading.station === 'hostile'));
      const got = readings.find(reading => reading.station === 'hostile')?.quantities.inputPowerW;
      // Megabytes it could have before the system said no.
      expect(got).toBeLessThan(400);
      await steadyGoesOn();
      expect(host.processes()).toHaveLength(2);
    },
  );
});
