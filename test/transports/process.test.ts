import { describe, expect, it } from 'vitest';
import { describeLink, openLinkFor } from '../../agent/transports/index.ts';
import { openLogged } from '../support/link-log.ts';
import { realClock, realTimers, until } from '../support/real-time.ts';

function run(command: readonly string[], environment: Record<string, string | undefined> = process.env) {
  const spoken: string[] = [];
  const openLink = openLinkFor(
    { kind: 'process', command },
    { clock: realClock, timers: realTimers, environment, onStderr: (_link, text) => spoken.push(text) },
  );
  return { log: openLogged(openLink), spoken };
}
const script = (source: string, ...words: string[]): string[] => [process.execPath, '-e', source, ...words];

const isRunning = (pid: number): boolean => {
  try {
    process.kill(pid, 0);
    return true;
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'ESRCH') return false;
    throw cause;
  }
};

describe("a program's output", () => {
  it('comes as bytes to the last one, then the end with its exit code and last words', async () => {
    const { log, spoken } = run(script(`console.log('one'); console.error('no sun today'); process.exitCode = 3`));
    const end = await log.untilEnd();
    expect(log).toMatchObject({ opened: 1, text: 'one\n' });
    expect(end.failure).toBe('ended');
    expect(end.detail).toMatch(/exited with code 3: no sun today$/);
    expect(spoken.join('')).toBe('no sun today\n');
  });

  it('is not found where there is no such program', async () => {
    const { log } = run(['/no/such/program']);
    expect((await log.untilEnd()).failure).toBe('notFound');
    expect(log.opened).toBe(0);
    await log.link.close();
  });

  it('is read from arguments as they are, never through a shell', async () => {
    const { log } = run(script('console.log(process.argv[1])', '$(echo gone); rm -rf "x" && *'));
    await log.untilEnd();
    expect(log.text).toBe('$(echo gone); rm -rf "x" && *\n');
  });

  it('is written by a program that sees no input and none of the secrets around the agent', async () => {
    const source = `
      process.stdin.on('end', () => console.log(JSON.stringify(process.env))).resume();`;
    const { log } = run(script(source), { ...process.env, SECRET_TOKEN: 'abc' });
    await log.untilEnd();
    const seen = JSON.parse(log.text);
    expect(seen).not.toHaveProperty('SECRET_TOKEN');
    expect(seen.PATH).toBe(process.env.PATH);
  });

  it('stops the program while paused', async () => {
    const { log } = run(script(`setInterval(() => process.stdout.write('x'.repeat(100000)), 1)`));
    await until(() => log.bytes > 0);
    log.link.pause();
    await new Promise(resolve => setTimeout(resolve, 20));
    const paused = log.bytes;
    await new Promise(resolve => setTimeout(resolve, 100));
    expect(log.bytes).toBe(paused);
    log.link.resume();
    await until(() => log.bytes > paused);
    await log.link.close();
  });

  it('ends with the link, together with what the program started', async () => {
    const source = `
      const child = require('node:child_process').spawn(process.execPath, ['-e', 'setInterval(() => {}, 1000)']);
      console.log(child.pid + ' ' + process.pid);
      setInterval(() => {}, 1000);`;
    const { log } = run(script(source));
    await until(() => log.text.endsWith('\n'));
    await log.link.close();
    await log.link.close();
    const [grandchild = 0, child = 0] = log.text.split(' ').map(Number);
    expect(isRunning(child)).toBe(false);
    await until(() => !isRunning(grandchild));
    expect(log.ends).toEqual([]);
  });

  it('ends with the link even when the program ignores the polite signal', async () => {
    const { log } = run(
      script(`process.on('SIGTERM', () => {}); setInterval(() => {}, 1000); console.log(process.pid)`),
    );
    await until(() => log.text.endsWith('\n'));
    await log.link.close();
    expect(isRunning(Number(log.text))).toBe(false);
  });

  it('passes on at most 64 KiB a minute of what the program complains about, and reads on', async () => {
    const { log, spoken } = run(
      script(`for (let i = 0; i < 300; i++) console.error('x'.repeat(9999)); console.log('done')`),
    );
    await log.untilEnd();
    expect(log.text).toBe('done\n');
    expect(spoken.join('').length).toBeGreaterThan(60_000);
    expect(spoken.join('').length).toBeLessThan(80_000);
  });
});

describe('a link in words', () => {
  it('is the port, the address or the command', () => {
    expect(describeLink({ kind: 'serial', path: '/dev/ttyUSB0', baud: 9600 })).toBe('/dev/ttyUSB0');
    expect(describeLink({ kind: 'tcp', host: 'shed.local', port: 4000 })).toBe('shed.local:4000');
    expect(describeLink({ kind: 'tcp', host: 'fe80::1', port: 4000 })).toBe('[fe80::1]:4000');
    expect(describeLink({ kind: 'process', command: ['python3', 'shed.py'] })).toBe('python3 shed.py');
  });
});
