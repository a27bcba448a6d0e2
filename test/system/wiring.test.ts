/** `wattkeep wiring` as an owner or a program runs it: the built program. */
import { spawnSync } from 'node:child_process';
import { describe, expect, it } from 'vitest';
import { COLD_STRINGS, FUSES } from '../reference/wiring.ts';
import { built } from '../support/built.ts';

const run = (...args: string[]) => {
  const { status, stdout, stderr } = spawnSync(process.execPath, [built('program/main.js'), 'wiring', ...args], {
    encoding: 'utf8',
    timeout: 30_000,
  });
  return { status, stdout, stderr };
};

interface Row {
  series: number;
  parallel: number;
  verdict: string;
  port: string;
  coldOpenCircuitV: number | null;
  coldOpenCircuitMaxV: number | null;
  hotOperatingV: number | null;
  shortCircuitA: number | null;
  designCurrentA: number | null;
  peakW: number | null;
  clippedW: number | null;
  stringFuses: boolean;
  reasons: string[];
}

const rowsOf = (...args: string[]) => {
  const { status, stdout, stderr } = run(...args, '--json');
  expect(stderr).toBe('');
  expect(status).toBe(0);
  const { arrangements, cautions } = JSON.parse(stdout) as { arrangements: Row[]; cautions: string[] };
  expect(cautions.length).toBeGreaterThan(0);
  return (series: number, parallel: number) =>
    arrangements.find(row => row.series === series && row.parallel === parallel)!;
};

const PANEL = 'voc=22.4,isc=5.1,vmp=18.6,imp=4.84,voc-pct-per-k=-0.31,max-fuse=10';
const PORT = 'vmin=16,vmax=82,imax=9,wmax=400';
const shed = ['--panel', PANEL, '--count', '3', '--port', PORT];

describe('wattkeep wiring', () => {
  it('gives every way with exactly the promised keys and more', () => {
    const row = rowsOf(...shed, '--coldest', '-15', '--hottest', '35');
    expect(row(3, 1)).toMatchObject({
      series: 3,
      parallel: 1,
      verdict: 'fits',
      port: 'the port',
      coldOpenCircuitV: 75.5328,
      coldOpenCircuitMaxV: 77.798784,
      shortCircuitA: 5.1,
      designCurrentA: 6.375,
      peakW: 270.072,
      clippedW: 0,
      stringFuses: false,
      reasons: expect.any(Array),
    });
    expect(row(3, 1).hotOperatingV).toBeGreaterThan(40);
    expect(row(1, 3)).toMatchObject({ verdict: 'do not connect', designCurrentA: 19.125, stringFuses: true });
    expect(row(2, 1).reasons.join()).toContain('one panel over');
  });

  it('takes options in any order and negative numbers in both forms', () => {
    const shuffled = PANEL.split(',').reverse().join(',');
    const outputs = [
      run('--json', '--coldest=-15', '--port', PORT, '--count=3', `--panel=${shuffled}`),
      run(...shed, '--coldest', '-15', '--json'),
    ];
    expect(outputs[0]!.stdout).toBe(outputs[1]!.stdout);
  });

  it.each(COLD_STRINGS.slice(2, 5))(
    '%f V, %f percent a kelvin, %i in series at %i °C',
    (vocV, pctPerK, series, coldestC, _, byPct, __, byTable) => {
      const told = (more: string) =>
        rowsOf('--panel', `voc=${vocV}${more}`, '--count', `${series}`, '--port', 'vmax=800', `--coldest=${coldestC}`);
      expect(told(`,voc-pct-per-k=${pctPerK}`)(series, 1).coldOpenCircuitV).toBeCloseTo(byPct, 6);
      expect(told('')(series, 1).coldOpenCircuitV).toBeCloseTo(byTable, 6);
    },
  );

  it.each(FUSES.slice(2, 6))(
    '$strings strings of $iscA A, rated $ratingA A',
    ({ iscA, strings, ratingA, allA, nec }) => {
      const panel = `isc=${iscA},max-fuse=${ratingA},voc=22,vmp=18,imp=${iscA * 0.9},voc-pct-per-k=-0.3`;
      const row = rowsOf('--panel', panel, `--count=${strings}`, '--port', PORT, '--coldest=-5')(1, strings);
      expect(row.designCurrentA).toBeCloseTo(allA, 6);
      expect(row.stringFuses).toBe(nec);
    },
  );

  it('cannot say what fits where label or manual does not tell enough', () => {
    for (const missing of ['voc', 'isc', 'vmp']) {
      const less = PANEL.split(',')
        .filter(pair => !pair.startsWith(`${missing}=`))
        .join(',');
      const row = rowsOf('--panel', less, '--port', PORT, '--coldest=-15')(1, 1);
      expect(row.verdict).toBe('cannot say');
      expect(row.reasons[0]).toMatch(/not known/);
    }
    expect(rowsOf('--panel', PANEL, '--port', 'vmin=12,vmax=60', '--coldest=-10')(1, 1).verdict).toBe('cannot say');
  });

  it('refuses with 2, says why, and prints nothing else', () => {
    const refused = run('--panel', 'voc=-22', '--port', PORT, '--coldest=-15');
    expect(refused.status).toBe(2);
    expect(refused.stdout).toBe('');
    expect(refused.stderr).toMatch(/voc in --panel is -22.*\[USAGE\]\n$/s);
  });

  it('reads as a table, with what the meter says and the cautions', () => {
    const { stdout, status } = run(...shed, '--coldest', '-15', '--meter', '44', '--air', '20');
    expect(status).toBe(0);
    expect(stdout).toMatch(/3 in series +fits +75\.5 V cold, 6\.4 A, 270 W\n/);
    expect(stdout).toMatch(/2 in series +fits .*one left over/);
    expect(stdout).toContain('44 V: a panel seems to be missing');
    expect(stdout).toContain('local code');
    expect(stdout).toContain('(US National Electrical Code 690.9)');
  });

  it('puts the panels of two stations into the ports of both, and names the station with each port', () => {
    const ports = ['shed', 'hut'].flatMap(station => ['--port', `${PORT},name=solar,station=${station}`]);
    const told = ['--panel', PANEL, '--count', '6', ...ports, '--coldest', '-15'];
    expect(run(...told).stdout).toContain(
      'together, the best first:\n  shed, solar: 3 in series; hut, solar: 3 in series  (fits, 540 W)',
    );
    const { arrangements, allocations } = JSON.parse(run(...told, '--json').stdout) as {
      arrangements: { port: string; station: string }[];
      allocations: { parts: { port: string; station: string; series: number }[] }[];
    };
    expect(new Set(arrangements.map(({ station }) => station))).toEqual(new Set(['shed', 'hut']));
    expect(allocations[0]!.parts).toMatchObject([
      { port: 'solar', station: 'shed', series: 3 },
      { port: 'solar', station: 'hut', series: 3 },
    ]);
    expect(run(...told, '--port', `${PORT},name=solar,station=hut`).status).toBe(2);
  });

  it('puts two kinds of panel into two ports together', () => {
    const large = 'name=large,voc=45,isc=5.4,vmp=37,imp=5.2,voc-pct-per-k=-0.3,max-fuse=15,count=1';
    const { stdout } = run(
      '--panel',
      `${PANEL},name=small`,
      '--panel',
      large,
      '--count',
      '3',
      '--port',
      `${PORT},name=left`,
      '--port',
      'vmin=12,vmax=60,imax=15,wmax=250,name=right',
      '--coldest',
      '-15',
    );
    expect(stdout).toMatch(/together, the best first:\n {2}left: 3 small in series; right: 1 large /);
  });
});
