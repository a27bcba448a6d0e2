import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest';
import { type Capture, type ConformanceReport, captureHead, captureLine } from '#kit';
import { adapterCheck } from '../../agent/commands/adapter-check.ts';
import { checkContained } from '../../agent/host/check-contained.ts';
import { createBundler } from '../../agent/own-adapters/index.ts';
import { ROOT } from '../house/rooms.ts';
import { built } from '../support/built.ts';
import { ownAdapter } from '../support/own-shelf.ts';
import { realTimers } from '../support/real-time.ts';

const dist = dirname(built('agent'));
const entryPath = built('agent/host/check-child.js');
let dir = '';
beforeAll(() => {
  dir = mkdtempSync(join(tmpdir(), 'check-'));
});
afterAll(() => rmSync(dir, { recursive: true, force: true }));

/** The report on an owner's file, or why there is none. */
async function check(contents: string, limitMs = 30_000, captures: readonly Capture[] = []) {
  const made = await createBundler({ dist, cacheDir: dir, timers: realTimers })({
    name: 'mine.ts',
    contents,
    sha256: contents,
  });
  if ('fault' in made) throw new Error(made.fault);
  return checkContained(made.place, { captures, seed: 1 }, { entryPath, timers: realTimers, limitMs });
}

const nameOf = (report: ConformanceReport | string, ok: boolean) =>
  typeof report === 'string' ? [report] : report.checks.filter(one => one.ok === ok).map(({ name }) => name);

describe('an adapter checked in a contained process', () => {
  it('passes where it is the example, with the samples that its file exports', async () => {
    const example = readFileSync(join(ROOT, 'protocol-adapters/example/index.ts'), 'utf8');
    const report = await check(example.replace("'#kit'", "'wattkeep/kit'"));
    expect(nameOf(report, false)).toEqual([]);
    expect(nameOf(report, true)).toContain('samples');
  });

  it('passes where it is one of wattkeep, on a capture', async () => {
    const line = Buffer.from('{"inputPowerW":120,"outputPowerW":35,"stateOfChargePct":81}\n');
    const chunks = Array.from({ length: 8 }, (_, i) => ({
      atMs: i * 1000,
      way: 'in' as const,
      place: '',
      bytes: line,
    }));
    const report = await checkContained(
      'lines',
      { captures: [{ name: 'morning', chunks }], seed: 1 },
      { entryPath, timers: realTimers },
    );
    expect(report).toMatchObject({ adapter: { id: 'lines' }, ok: true });
    expect((report as ConformanceReport).checks.filter(({ pending }) => pending)).toEqual([]);
  });

  it('is ended where it loops for ever, exits or floods, and the reason is told', async () => {
    const decode = (body: string) =>
      ownAdapter().replace('decode: frame => ({', `decode: frame => { ${body} }, other: () => ({`);
    expect(await check(decode('for (;;);'), 3000)).toMatch(/endless loop/);
    expect(await check(decode('process.exit(3);'))).toMatch(/exited with code 3/);
    expect(await check(ownAdapter('bee-box', { head: "throw new Error('no such thing');" }))).toMatch(/no such thing/);
  });

  it('fails a decode that looks at the clock, one that remembers, and one that gives what it does not name', async () => {
    const answer = (power: string) =>
      ownAdapter()
        .replace('inputPowerW: 0', `inputPowerW: ${power}`)
        .replace('export default', 'let times = 0;\nexport default');
    expect(nameOf(await check(answer('Date.now() % 1000')), false)).toContain('purity');
    expect(nameOf(await check(answer('times++ % 100')), false)).toContain('purity');
    const more = ownAdapter().replace('outputPowerW: 5', 'outputPowerW: 5, solarPowerW: 3');
    expect(nameOf(await check(more), false)).toEqual(['manifest honesty']);
  });
});

describe('wattkeep adapter check', () => {
  const run = async (...argv: string[]) => {
    const printed: string[] = [];
    const spy = vi.spyOn(process.stdout, 'write').mockImplementation(text => {
      printed.push(String(text));
      return true;
    });
    try {
      return { status: await adapterCheck({ argv, dist, version: '0' }), printed: printed.join('') };
    } finally {
      spy.mockRestore();
    }
  };
  const put = (name: string, text: string): string => {
    writeFileSync(join(dir, name), text);
    return join(dir, name);
  };

  it('prints one line a check and the verdict, or the report for programs', async () => {
    const text = await run('lines');
    expect(text.status).toBe(0);
    expect(text.printed).toMatch(/^ok {4}manifest/m);
    expect(text.printed).toMatch(/lines: \d+ checks passed, \d+ open for want of bytes \(seed 1\)\n$/);
    const json = await run('lines', '--json', '--seed', '7');
    expect(JSON.parse(json.printed)).toMatchObject({ ok: true, seed: 7 });
  });

  it('ends with status 1 where a check failed, and reads a capture', async () => {
    const file = put('mine.ts', ownAdapter());
    const bytes = Buffer.from('Q\n');
    const capture = put(
      'evening.txt',
      captureHead({ transport: 'serial', begunAt: '2026-06-21T18:00:00Z' }) +
        Array.from({ length: 6 }, (_, i) => captureLine({ atMs: 10 * i, way: 'in', place: '', bytes })).join(''),
    );
    const { status, printed } = await run(file, '--capture', capture);
    expect(status).toBe(1);
    expect(printed).toMatch(/^FAIL {2}rate .*readings a second arrive; maxReadingsPerS is 10/m);
  });

  it('says what it cannot read', async () => {
    await expect(run()).rejects.toMatchObject({ code: 'USAGE' });
    await expect(run(join(dir, 'none.ts'))).rejects.toMatchObject({ code: 'USAGE' });
    await expect(run('no-such-one')).rejects.toMatchObject({ message: expect.stringContaining('no-such-one') });
    await expect(run('lines', '--capture', put('x.txt', 'hello'))).rejects.toMatchObject({ code: 'USAGE' });
    await expect(run(put('bad.ts', "import 'node:fs';"))).rejects.toMatchObject({ code: 'ADAPTER_UNKNOWN' });
  });
});
