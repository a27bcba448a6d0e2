import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync } from 'node:fs';
import { pathToFileURL } from 'node:url';
import { afterEach, describe, expect, it } from 'vitest';
import { plainManifest } from '#kit';
import { builtInManifests } from '../../agent/host/built-in.ts';
import { builtInAdapters } from '../../protocol-adapters/index.ts';
import { built } from '../support/built.ts';
import { type ContainmentStage, containmentStage, program } from '../support/containment-stage.ts';
import { until } from '../support/real-time.ts';

let stage: ContainmentStage | null = null;
afterEach(async () => {
  await stage?.close();
  stage = null;
});

const LINES = `setInterval(() => console.log('{"inputPowerW":1,"outputPowerW":2,"stateOfChargePct":3}'), 50)`;

describe('the processes of adapters', () => {
  it('are shared by built-ins until one has ended twice; then each station has its own', async () => {
    stage = await containmentStage({ adapter: 'lines', device: program(LINES) });
    const { host, count, status } = stage;
    await until(() => count('hostile') > 0);
    expect(host.processes()).toEqual([{ source: 'built-in', pid: expect.any(Number), channels: 2 }]);
    for (let ends = 1; ends <= 2; ends++) {
      for (const { pid } of host.processes()) process.kill(pid, 'SIGKILL');
      await until(() => status('steady')?.phase === 'retrying' && status('hostile')?.phase === 'retrying');
      await until(() => status('steady')?.phase === 'live' && status('hostile')?.phase === 'live');
    }
    expect(host.processes().map(({ source, channels }) => [source, channels])).toEqual([
      ['built-in', 1],
      ['built-in', 1],
    ]);
  });

  it('need not run for what the built-ins say of themselves, which is what they say when they run', async () => {
    const entryPath = built('agent/host/adapter-child.js');
    const written = builtInManifests(entryPath);
    expect(written).toEqual(builtInAdapters.map(({ manifest }) => plainManifest(manifest)));
    expect(() => builtInManifests('/nowhere/adapter-child.js')).toThrow(expect.objectContaining({ code: 'INTERNAL' }));
  });

  it('are gone when the host is closed', async () => {
    const closing = await containmentStage({ adapter: 'lines', device: program(LINES) });
    const pids = closing.host.processes().map(({ pid }) => pid);
    await closing.close();
    for (const pid of pids) expect(() => process.kill(pid, 0)).toThrow(/ESRCH/);
  });

  it.runIf(existsSync('/usr/bin/setpriv'))(
    'end with an agent that is killed, even one that loops for ever',
    async () => {
      const agent = `
      import { createAdapterHost } from '${pathToFileURL(built('agent/host/adapter-host.js')).href}';
      import { writeFileSync } from 'node:fs';
      const file = process.argv[1];
      writeFileSync(file, \`export default { manifest: { id: 'h', title: 'h', version: '1', apiVersion: 1,
        transports: ['process'], gives: ['inputPowerW'], intervalMs: 1000, maxFrameBytes: 9, maxReadingsPerS: 1 },
        open() { console.log('looping'); for (;;); } };\`);
      const host = createAdapterHost({
        entryPath: '${built('agent/host/adapter-child.js')}',
        clock: { monoMs: () => performance.now() },
        timers: { after: (ms, run) => { const t = setTimeout(run, ms); return () => clearTimeout(t); } },
        onStderr: (source, text) => console.log(host.processes()[0].pid),
        heartbeatLimitMs: 60000,
      });
      host.open(file, { ready() {}, ended() {} });`;
      const file = `/tmp/adapter-looping-${process.pid}.js`;
      const child = spawn(process.execPath, ['--input-type=module', '-e', agent, file], {
        stdio: ['ignore', 'pipe', 'inherit'],
      });
      const [printed] = await once(child.stdout, 'data');
      const pid = Number(String(printed));
      expect(existsSync(`/proc/${pid}`)).toBe(true);
      child.kill('SIGKILL');
      await until(() => !existsSync(`/proc/${pid}`));
    },
  );
});
