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
/** What `probe` (a statement that sets `answer`) finds out in the process of an adapter. */
async function probe(head: string, statement: string): Promise<string> {
  const decode = `
    let answer = 'allowed';
    try { ${statement} } catch (cause) { answer = cause.code ?? String(cause); }
    return { quantities: { inputPowerW: 5 }, states: { fault: String(answer) }, quality: 'good', reasons: {} };`;
  stage = await containmentStage({ adapter: adapterSource(decode, head), device: program(TICKING) });
  const { readings, steadyGoesOn } = stage;
  await until(() => readings.some(reading => reading.station === 'hostile'));
  await steadyGoesOn();
  return readings.find(reading => reading.station === 'hostile')?.states.fault ?? '';
}

describe('the process of an adapter', () => {
  it.each([
    ['read a file that is not its own', `import fs from 'node:fs';`, `fs.readFileSync('/etc/passwd')`],
    ['list the home folder', `import fs from 'node:fs'; import os from 'node:os';`, `fs.readdirSync(os.homedir())`],
    ['write a file', `import fs from 'node:fs';`, `fs.writeFileSync('/tmp/adapter-was-here', 'x')`],
    ['start a program', `import { spawnSync } from 'node:child_process';`, `spawnSync('true')`],
    ['start a thread', `import { Worker } from 'node:worker_threads';`, `new Worker('1', { eval: true })`],
  ])('may not %s', async (_, head, statement) => {
    expect(await probe(head, statement)).toBe('ERR_ACCESS_DENIED');
  });

  it("sees nothing of the agent's environment", async () => {
    expect(await probe('', `answer = Object.keys(process.env).join(' ') || 'nothing'`)).toBe('nothing');
  });
});
