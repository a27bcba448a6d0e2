import { afterEach, describe, expect, it } from 'vitest';
import {
  adapterSource,
  type ContainmentOptions,
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
const begin = async (options: Partial<ContainmentOptions>): Promise<ContainmentStage> => {
  stage = await containmentStage({ adapter: 'lines', device: program(TICKING), ...options });
  return stage;
};
const READING = `return { quantities: { inputPowerW: 5 }, states: {}, quality: 'good', reasons: {} };`;

describe('another station goes on reading while an adapter', () => {
  it('loops for ever: it is ended, said to be silent and started again', async () => {
    const source = adapterSource('for (;;) {}');
    const { failures, steadyGoesOn, status } = await begin({ adapter: source, heartbeatLimitMs: 1000 });
    await steadyGoesOn();
    await until(() => failures().includes('adapterSilent'));
    expect(status('hostile')).toMatchObject({ detail: 'no sign of life for 1 s', attempt: 1, attemptsAllowed: 5 });
    await until(() => status('hostile')?.phase === 'waiting');
    await steadyGoesOn();
  });

  it('throws at every frame: each is counted and nothing is restarted', async () => {
    const { status, failures, steadyGoesOn } = await begin({
      adapter: adapterSource(`throw new Error('no such field')`),
    });
    await until(() => (status('hostile')?.rejected.adapterError ?? 0) >= 3);
    await steadyGoesOn();
    expect(failures()).toEqual([]);
  });

  it('throws where nobody can catch it: it has crashed, with its own words', async () => {
    const source = adapterSource(`setTimeout(() => { throw new TypeError('lost'); }); ${READING}`);
    const { status, failures, steadyGoesOn } = await begin({ adapter: source });
    await until(() => failures().includes('adapterCrashed'));
    expect(status('hostile')?.detail).toMatch(/TypeError: lost/);
    await steadyGoesOn();
  });

  it('leaves a promise rejected', async () => {
    const source = adapterSource(`Promise.reject(new Error('later')); ${READING}`);
    const { status, failures, steadyGoesOn } = await begin({ adapter: source });
    await until(() => failures().includes('adapterCrashed'));
    expect(status('hostile')?.detail).toMatch(/Error: later/);
    await steadyGoesOn();
  });

  it('exits: five times within ten minutes, then it waits for the owner', async () => {
    const { status, steadyGoesOn, supervisor, host } = await begin({ adapter: adapterSource('process.exit(7)') });
    await until(() => status('hostile')?.failure === 'adapterCrashed');
    expect(status('hostile')?.detail).toBe('it exited with code 7');
    await steadyGoesOn();
    for (let i = 2; i <= 5; i++) {
      await until(() => status('hostile')?.phase === 'retrying');
      supervisor.retryNow('hostile');
      await until(() => status('hostile')?.attempt === i);
    }
    expect(status('hostile')).toMatchObject({ phase: 'parked', nextTryInMs: null });
    expect(host.processes().map(({ source }) => source)).toEqual(['built-in']);
    await steadyGoesOn();
  });

  it('is killed from outside', async () => {
    const { status, count, host, steadyGoesOn, failures } = await begin({ adapter: adapterSource(READING) });
    await until(() => count('hostile') > 0);
    process.kill(host.processes().find(({ source }) => source !== 'built-in')!.pid, 'SIGSEGV');
    await until(() => failures().includes('adapterCrashed'));
    expect(status('hostile')?.detail).toBe('it was ended by SIGSEGV');
    await until(() => status('hostile')?.phase === 'live');
    await steadyGoesOn();
  });

  it('is written for another version of the contract: it is not loaded, and not tried again', async () => {
    const source = adapterSource(READING).replace('apiVersion: 1', 'apiVersion: 2');
    const { status, steadyGoesOn } = await begin({ adapter: source });
    await until(() => status('hostile')?.phase === 'parked');
    expect(status('hostile')).toMatchObject({ failure: 'adapterApi', detail: expect.stringMatching(/version 2/) });
    await steadyGoesOn();
  });

  it('cannot be read at all', async () => {
    const { status, steadyGoesOn } = await begin({ adapter: 'export default {{{' });
    await until(() => status('hostile')?.phase === 'parked');
    expect(status('hostile')).toMatchObject({
      failure: 'adapterUnknown',
      detail: expect.stringMatching(/SyntaxError/),
    });
    await steadyGoesOn();
  });

  it('is missing', async () => {
    const { status, steadyGoesOn } = await begin({ adapter: '/no/such/adapter.js' });
    await until(() => status('hostile')?.phase === 'parked');
    expect(status('hostile')?.failure).toBe('adapterUnknown');
    await steadyGoesOn();
  });

  it('is asked for under a name that nobody has', async () => {
    const { status, steadyGoesOn } = await begin({ adapter: 'no-such-adapter' });
    await until(() => status('hostile')?.phase === 'parked');
    expect(status('hostile')).toMatchObject({ failure: 'adapterUnknown', detail: expect.stringMatching(/no-such/) });
    await steadyGoesOn();
  });
});
