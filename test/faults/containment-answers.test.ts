import { once } from 'node:events';
import { existsSync, readFileSync } from 'node:fs';
import { type AddressInfo, createServer, type Server } from 'node:net';
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
let server: Server | null = null;
afterEach(async () => {
  await stage?.close();
  server?.close();
  stage = null;
});
const begin = async (options: Partial<ContainmentOptions>): Promise<ContainmentStage> => {
  stage = await containmentStage({ adapter: 'lines', device: program(TICKING), ...options });
  return stage;
};
const answer = (quantities: string, more = ''): string =>
  adapterSource(`return { quantities: ${quantities}, states: {}, quality: 'good', reasons: {}${more} };`);
/** The first reading of an adapter that answers so. */
async function first(adapter: string) {
  const { readings, steadyGoesOn } = await begin({ adapter });
  await until(() => readings.some(({ station }) => station === 'hostile'));
  await steadyGoesOn();
  return readings.find(({ station }) => station === 'hostile')!;
}

describe('an answer of an adapter', () => {
  it('from yesterday, under another session, or typed by nobody, is of now and of its own session', async () => {
    const yesterday = `, at: 1, monoMs: -86400000, seq: 7, session: 'stolen', station: 'steady', clock: 'synced', typed: true`;
    const reading = await first(answer('{ inputPowerW: 5 }', yesterday));
    expect(reading).toMatchObject({ station: 'hostile', seq: 1, quantities: { inputPowerW: 5 } });
    expect(reading.session).not.toBe('stolen');
    expect(Math.abs(reading.monoMs - performance.now())).toBeLessThan(60_000);
    expect(reading).not.toHaveProperty('typed');
    expect(reading).not.toHaveProperty('at');
  });

  it('that is no number within its range is missing, with the reason, and nothing else is the worse for it', async () => {
    const values: [value: string, reason: string][] = [
      ['NaN', 'wrongType'],
      ['Infinity', 'outOfRange'],
      ['-Infinity', 'outOfRange'],
      ['-5', 'outOfRange'],
      ['1e308', 'outOfRange'],
      [`'5'`, 'wrongType'],
      ['5n', 'wrongType'],
      ['{ valueOf: () => 5 }', 'wrongType'],
      ['[5]', 'wrongType'],
    ];
    const head = `const values = [${values.map(([value]) => value).join(', ')}]; let at = 0;`;
    const decode = `
      const quantities = { inputPowerW: values[at++ % values.length], outputPowerW: 7 };
      return { quantities, states: {}, quality: 'good', reasons: {} };`;
    const { count, readings, steadyGoesOn } = await begin({ adapter: adapterSource(decode, head) });
    await until(() => count('hostile') >= values.length);
    await steadyGoesOn();
    const mine = readings.filter(({ station }) => station === 'hostile').slice(0, values.length);
    expect(
      mine.map(({ quantities, reasons, quality }) => [quantities.inputPowerW, reasons.inputPowerW, quality]),
    ).toEqual(values.map(([, reason]) => [null, reason, 'uncertain']));
    expect(mine.every(({ quantities }) => quantities.outputPowerW === 7)).toBe(true);
  });

  it('with __proto__, constructor and prototype in it changes nothing of the agent', async () => {
    const hostile = `JSON.parse('{"__proto__":{"polluted":1,"inputPowerW":9},"constructor":{"prototype":{"polluted":1}},"inputPowerW":5}')`;
    const { quantities, states } = await first(
      answer(hostile, `, ['__proto__']: { polluted: 1 }, states: ${hostile}, reasons: ${hostile}`),
    );
    expect(quantities.inputPowerW).toBe(5);
    expect(Object.keys(quantities)).not.toContain('__proto__');
    expect([...Object.keys(quantities), ...Object.keys(states)]).not.toContain('constructor');
    expect(({} as { polluted?: number }).polluted).toBeUndefined();
  });

  it('that is a promise, or never comes, is an error of the adapter each time, and nothing is restarted', async () => {
    const { status, failures, steadyGoesOn } = await begin({
      adapter: adapterSource('return new Promise(() => undefined);'),
    });
    await until(() => (status('hostile')?.rejected.adapterError ?? 0) >= 3);
    await steadyGoesOn();
    expect(failures()).toEqual([]);
  });

  it('that is no reading is an error of the adapter each time', async () => {
    const head = `const answers = [null, undefined, 7, 'reading', [], {}, () => 5, new Map(), globalThis]; let at = 0;`;
    const { count, status, steadyGoesOn, failures } = await begin({
      adapter: adapterSource('return answers[at++ % answers.length];', head),
    });
    await until(() => (status('hostile')?.rejected.adapterError ?? 0) >= 9);
    await steadyGoesOn(3);
    expect([failures(), count('hostile')]).toEqual([[], 0]);
  });
});

describe('an adapter that does not want to end', () => {
  it.runIf(process.platform === 'linux')(
    'ignores SIGTERM and all the others: it is gone once the agent closes',
    async () => {
      const head = `for (const signal of ['SIGTERM', 'SIGINT', 'SIGHUP', 'SIGQUIT', 'SIGUSR2']) process.on(signal, () => {});
      process.on('exit', () => { for (;;); });`;
      const { host, count } = await begin({
        adapter: adapterSource(
          `return { quantities: { inputPowerW: 5 }, states: {}, quality: 'good', reasons: {} };`,
          head,
        ),
      });
      await until(() => count('hostile') > 0);
      const { pid } = host.processes().find(({ source }) => source !== 'built-in')!;
      // In a space of its own Node is the child of whoever made the space.
      const inner = readFileSync(`/proc/${pid}/task/${pid}/children`, 'utf8').trim().split(' ').filter(Boolean);
      process.kill(pid, 'SIGTERM');
      for (const child of inner) process.kill(Number(child), 'SIGTERM');
      await stage?.close();
      stage = null;
      await until(() => [pid, ...inner].every(gone => !existsSync(`/proc/${gone}`)));
    },
  );
});

/** Source of an adapter whose talk sends `sends`; its manifest lists `01 03 ..`. */
const asking = (sends: string, listed = `[{ name: 'level?', bytes: '01 03 ..' }]`): string => `export default {
  manifest: {
    id: 'hostile', title: 'Hostile', version: '1', apiVersion: 1, transports: ['tcp'], gives: ['inputPowerW'],
    intervalMs: 100, maxFrameBytes: 4096, maxReadingsPerS: 50, requests: ${listed},
  },
  open: () => ({
    createFramer: () => ({ push: (chunk, onFrame) => onFrame(chunk), end() {} }),
    decode: () => ({ rejected: 'unexpected', detail: '' }),
    *talk() {
      for (;;) {
        yield { step: 'ask', send: Uint8Array.of(${sends}), accepts: () => true, withinMs: 200 };
        yield { step: 'rest' };
      }
    },
  }),
};`;

describe('what an adapter sends', () => {
  /** All that a station on TCP hears of it. */
  async function listen(options: Partial<ContainmentOptions>) {
    const heard: number[] = [];
    server = createServer(socket => socket.on('data', chunk => heard.push(...chunk)));
    server.listen(0, '127.0.0.1');
    await once(server, 'listening');
    const { port } = server.address() as AddressInfo;
    const began = await begin({ transport: { kind: 'tcp', host: '127.0.0.1', port }, ...options });
    return { heard, ...began };
  }

  it('reaches the station where its manifest lists it', async () => {
    const { heard, failures } = await listen({ adapter: asking('1, 3, 200') });
    await until(() => heard.length >= 6);
    expect(heard.slice(0, 6)).toEqual([1, 3, 200, 1, 3, 200]);
    expect(failures()).toEqual([]);
  });

  it.each([
    ['another function', '1, 6, 200'],
    ['a byte more', '1, 3, 200, 0'],
    ['a byte less', '1, 3'],
    ['nothing', ''],
  ])('never reaches it where its manifest does not: %s', async (_, sends) => {
    const { heard, failures, status, steadyGoesOn } = await listen({ adapter: asking(sends) });
    await until(() => failures().includes('adapterMessage'));
    expect(status('hostile')?.detail).toMatch(/^it wanted to send .*which its manifest does not list$/);
    await steadyGoesOn();
    expect(heard).toEqual([]);
  });

  it('never reaches it where the manifest it tells is not the one that was approved', async () => {
    const { heard, failures, status } = await listen({
      adapter: asking('1, 6, 200', `[{ name: 'switch', bytes: '01 06 ..' }]`),
      allows: (_place, { requests }) => requests?.[0]?.bytes === '01 03 ..',
    });
    await until(() => failures().includes('adapterApi'));
    expect(status('hostile')?.detail).toBe('its manifest is not the one that was approved');
    expect(heard).toEqual([]);
  });

  it('never reaches it by telling a second manifest', async () => {
    const widen = `
      const text = JSON.stringify({ manifests: [{ ...adapter.manifest, requests: [{ name: 'x', bytes: '01 06 ..' }] }] });
      const ready = Buffer.alloc(5 + text.length); ready.writeUInt32LE(text.length); ready[4] = 16; ready.write(text, 5);
      writeSync(3, ready);`;
    const source = asking('1, 6, 200')
      .replace('export default {', `import { writeSync } from 'node:fs';\nconst adapter = {`)
      .replace('*talk() {', `*talk() { ${widen}`);
    const { heard, failures, status } = await listen({ adapter: `${source}\nexport default adapter;` });
    await until(() => failures().includes('adapterMessage'));
    expect(status('hostile')?.detail).toBe('it told its manifest twice');
    expect(heard).toEqual([]);
  });
});
