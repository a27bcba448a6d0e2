import { afterEach, describe, expect, it } from 'vitest';
import {
  adapterSource,
  type ContainmentOptions,
  type ContainmentStage,
  containmentStage,
  garbageStage,
  program,
  TICKING,
  throughGarbage,
} from '../support/containment-stage.ts';
import { until } from '../support/real-time.ts';

/** Far below what came in: nothing of it can have been kept. */
const GROWTH_BYTES = 150_000_000;

let stage: ContainmentStage | null = null;
afterEach(async () => {
  await stage?.close();
  stage = null;
});
const begin = async (options: Partial<ContainmentOptions>): Promise<ContainmentStage> => {
  stage = await containmentStage({ adapter: 'lines', device: program(TICKING), ...options });
  return stage;
};

const GOOD = `'{"inputPowerW":9,"outputPowerW":4,"stateOfChargePct":70}\\n'`;

describe('another station goes on reading, and the agent does not grow, while', () => {
  it('a device sends 100 MB of garbage through the same process', { timeout: 60_000 }, async () => {
    stage = await garbageStage(100_000_000);
    const { rejected, growth } = await throughGarbage(stage);
    expect(rejected).toBeGreaterThan(100_000);
    expect(stage.failures().every(failure => failure === 'unreadable')).toBe(true);
    expect(growth).toBeLessThan(GROWTH_BYTES);
  });

  it('a device sends one endless line', { timeout: 60_000 }, async () => {
    const device = ['sh', '-c', 'head -c 300000000 /dev/zero; sleep 1000'];
    const { status, steadyGoesOn, growth } = await begin({ device });
    await until(() => status('hostile')?.rejected.tooLong === 1);
    await steadyGoesOn(40);
    expect(growth()).toBeLessThan(GROWTH_BYTES);
    expect(status('hostile')?.rejected).toEqual({ tooLong: 1 });
  });

  it('a device gives ten thousand readings a second: fifty are taken, the rest counted', async () => {
    const device = program(`setInterval(() => process.stdout.write(${GOOD}.repeat(100)), 10)`);
    const { status, steadyGoesOn, growth, count, readings } = await begin({ device });
    await until(() => count('hostile') >= 200);
    await steadyGoesOn();
    const mine = readings.filter(reading => reading.station === 'hostile');
    const spanMs = mine.at(-1)!.monoMs - mine[0]!.monoMs;
    expect(mine.length).toBeLessThanOrEqual(50 + 50 * (spanMs / 1000 + 1));
    expect(status('hostile')).toMatchObject({ phase: 'live' });
    expect(status('hostile')?.rejected.tooFast).toBeGreaterThan(5000);
    expect(growth()).toBeLessThan(GROWTH_BYTES);
  });

  it('an adapter writes a message of 200 MB: it is ended at the header', async () => {
    const head = `import { writeSync } from 'node:fs';`;
    const decode = `
      const liar = Buffer.alloc(5); liar.writeUInt32LE(200000000); liar[4] = 17;
      writeSync(3, liar); for (;;) writeSync(3, Buffer.alloc(65536));`;
    const { failures, status, steadyGoesOn, growth } = await begin({ adapter: adapterSource(decode, head) });
    await until(() => failures().includes('adapterMessage'));
    expect(status('hostile')?.detail).toBe('a message of 200000000 bytes, at most 65536');
    await steadyGoesOn();
    expect(growth()).toBeLessThan(GROWTH_BYTES);
  });

  it('an adapter writes ten thousand messages a second past its ceiling: it is ended', async () => {
    const head = `import { writeSync } from 'node:fs';`;
    const decode = `
      const text = '{"c":1,"reading":{"quantities":{"inputPowerW":5}}}';
      const one = Buffer.alloc(5 + text.length); one.writeUInt32LE(text.length); one[4] = 17; one.write(text, 5);
      setInterval(() => { for (let i = 0; i < 100; i++) try { writeSync(3, one); } catch { break; } }, 10);
      return { rejected: 'noQuantity', detail: '' };`;
    const { failures, status, steadyGoesOn, growth } = await begin({ adapter: adapterSource(decode, head) });
    await until(() => failures().includes('adapterMessage'));
    expect(status('hostile')?.detail).toMatch(/more than 120 messages a second/);
    await steadyGoesOn();
    expect(growth()).toBeLessThan(GROWTH_BYTES);
  });

  it('an adapter sends a message without sense: it is ended', async () => {
    const head = `import { writeSync } from 'node:fs';`;
    const decode = `writeSync(3, Buffer.from([2, 0, 0, 0, 17, 0x7b, 0x7d])); return null;`;
    const { failures, steadyGoesOn } = await begin({ adapter: adapterSource(decode, head) });
    await until(() => failures().includes('adapterMessage'));
    await steadyGoesOn();
  });

  it('an adapter prints megabytes: 64 KiB of them are kept', async () => {
    const decode = `for (let i = 0; i < 100; i++) console.log('x'.repeat(9999));
      return { quantities: { inputPowerW: 5 }, states: {}, quality: 'good', reasons: {} };`;
    const { count, printed, steadyGoesOn, failures } = await begin({ adapter: adapterSource(decode) });
    await until(() => count('hostile') >= 3);
    await steadyGoesOn();
    expect(printed().length).toBeGreaterThan(60_000);
    expect(printed().length).toBeLessThan(90_000);
    expect(failures()).toEqual([]);
  });
});
