import { once } from 'node:events';
import { type AddressInfo, createServer } from 'node:net';
import { homedir } from 'node:os';
import { afterEach, describe, expect, it } from 'vitest';
import { containment } from '../../agent/host/containment.ts';
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
/** What `probe` (a statement that sets `answer`) finds out in the process of an adapter. */
async function probe(mostLevel: 1 | 2, head: string, statement: string): Promise<string> {
  const decode = `
    let answer = 'allowed';
    try { ${statement} } catch (cause) { answer = cause.code ?? String(cause); }
    return { quantities: { inputPowerW: 5 }, states: { fault: String(answer) }, quality: 'good', reasons: {} };`;
  stage = await containmentStage({ adapter: adapterSource(decode, head), device: program(TICKING), mostLevel });
  const { readings, steadyGoesOn } = stage;
  await until(() => readings.some(reading => reading.station === 'hostile'));
  await steadyGoesOn();
  return readings.find(reading => reading.station === 'hostile')?.states.fault ?? '';
}

/** The best that this computer can do: 2 where bubblewrap works. */
const BEST = containment().level;

describe.each(BEST === 2 ? ([1, 2] as const) : ([1] as const))('the process of an adapter at level %i', level => {
  it.each([
    ['read a file that is not its own', `import fs from 'node:fs';`, `fs.readFileSync('/etc/passwd')`],
    ['list the home folder', `import fs from 'node:fs';`, `fs.readdirSync(${JSON.stringify(homedir())})`],
    ['write a file', `import fs from 'node:fs';`, `fs.writeFileSync('/tmp/adapter-was-here', 'x')`],
    ['start a program', `import { spawnSync } from 'node:child_process';`, `spawnSync('true')`],
    ['start a thread', `import { Worker } from 'node:worker_threads';`, `new Worker('1', { eval: true })`],
  ])('may not %s', async (_, head, statement) => {
    expect(await probe(level, head, statement)).toBe('ERR_ACCESS_DENIED');
  });

  it("sees nothing of the agent's environment", async () => {
    // Where a space was made for it, its own folder stands there, which is the root.
    const names = `Object.keys(process.env).filter(name => !(name === 'PWD' && process.env.PWD === '/'))`;
    expect(await probe(level, '', `answer = ${names}.join(' ') || 'nothing'`)).toBe('nothing');
  });
});

describe('what doctor tells of containment', () => {
  const server = createServer(socket => socket.end());
  afterEach(() => void server.close());

  it('is what an adapter finds: whether it can reach the network', async () => {
    server.listen(0, '127.0.0.1');
    await once(server, 'listening');
    const { port } = server.address() as AddressInfo;
    const head = `import net from 'node:net';
      let found = null;
      const socket = net.connect(${port}, '127.0.0.1');
      socket.on('connect', () => { found = 'connected'; });
      socket.on('error', cause => { found = 'no way out'; });`;
    const decode = `
      if (found === null) return { rejected: 'noQuantity', detail: '' };
      return { quantities: { inputPowerW: 5 }, states: { fault: found }, quality: 'good', reasons: {} };`;
    stage = await containmentStage({ adapter: adapterSource(decode, head), device: program(TICKING) });
    const { readings } = stage;
    await until(() => readings.some(reading => reading.station === 'hostile'));
    const found = readings.find(reading => reading.station === 'hostile')?.states.fault;
    expect(found).toBe(containment().networkOpen ? 'connected' : 'no way out');
  });

  it.runIf(BEST === 2)('level 2 leaves an adapter alone with itself: it sees no other process', async () => {
    expect(await probe(2, '', `answer = process.pid + ' ' + process.ppid`)).toBe('1 0');
  });
});
