/** `wattkeep outlast` as it is called: the built program on a small invented night, its JSON, and what it refuses. */
import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { built } from '../support/built.ts';
import { fridgeNight, NIGHT_AT, recordingCsv, row } from '../support/recorded-night.ts';

interface Range {
  p10: string | null;
  p50: string | null;
  p90: string | null;
}
interface Said {
  projections: { at: string; emptyAt: Range | null; fullAt: Range | null; why: string }[];
  // biome-ignore lint/suspicious/noExplicitAny: a tree of numbers, judged key by key
  score: any;
}

const folder = mkdtempSync(join(tmpdir(), 'outlast-'));
const file = (name: string) => join(folder, name);
const MINUTE = 60_000;
const NIGHT = fridgeNight();

const run = (...args: string[]) => {
  const { status, stdout, stderr } = spawnSync(process.execPath, [built('program/main.js'), 'outlast', ...args], {
    encoding: 'utf8',
    timeout: 60_000,
    maxBuffer: 64 * 1024 * 1024,
  });
  return { status, stdout, stderr };
};
const said = (...args: string[]): Said => {
  const { status, stdout, stderr } = run(...args, '--json');
  expect([status, stderr.replaceAll(/wattkeep: replaying, \d+ %\n/g, '')]).toEqual([0, '']);
  return JSON.parse(stdout) as Said;
};
const night = (...args: string[]) =>
  said('--recording', file('night.csv'), '--rated-wh', '512', '--zone', 'Europe/Rome', ...args);

beforeAll(() => {
  writeFileSync(file('night.csv'), recordingCsv(NIGHT));
  writeFileSync(file('night.csv.gz'), gzipSync(recordingCsv(NIGHT)));
  writeFileSync(file('stated.csv'), recordingCsv(NIGHT, true));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('wattkeep outlast --json', () => {
  let shown: Said;
  beforeAll(() => {
    shown = night('--every', '900');
  });

  it('has the keys that are promised', () => {
    expect(Object.keys(shown)).toEqual(['projections', 'score']);
    for (const projection of shown.projections)
      expect(Object.keys(projection).slice(0, 4)).toEqual(['at', 'emptyAt', 'fullAt', 'why']);
    const { score } = shown;
    for (const key of ['coverage80', 'within10', 'within20', 'early', 'width', 'silent', 'driftMin'])
      expect(score[key], key).toBeTypeOf('number');
    expect(Object.keys(score.medianAbsPctError).sort()).toEqual(['10', '25', '50', '75']);
    expect(score.warning30).toMatchObject({ of: 1 });
    expect(score.fill).toMatchObject({ runs: 0 });
    expect(score.stated).toBeNull();
    for (const way of ['naive', 'mean60Less', 'hull']) expect(score[way].medianAbsPctError).toHaveProperty('50');
  });

  it('tells instants of the zone at even steps from the first state of charge', () => {
    const { projections } = shown;
    expect(projections[0]).toMatchObject({ at: '2026-11-08T20:00:00+01:00', emptyAt: null, why: 'noStateOfCharge' });
    expect(projections[1]!.at).toBe('2026-11-08T20:15:00+01:00');
    const last = projections.findLast(p => p.emptyAt !== null)!;
    for (const iso of Object.values(last.emptyAt!)) expect(iso).toMatch(/^2026-11-(08|09)T\d\d:\d\d:\d\d\+01:00$/);
    expect(Date.parse(last.emptyAt!.p10!)).toBeLessThanOrEqual(Date.parse(last.emptyAt!.p50!));
    expect(Date.parse(last.emptyAt!.p50!)).toBeLessThanOrEqual(Date.parse(last.emptyAt!.p90!));
  });

  it('is close on a regular night, closer than the watts of the moment', () => {
    expect(shown.score.medianAbsPctErrorOverall).toBeLessThan(15);
    expect(shown.score.medianAbsPctErrorOverall).toBeLessThan(shown.score.naive.medianAbsPctErrorOverall);
  });

  it('reads gzip, and says the same every time', () => {
    const zipped = said(
      ...['--recording', file('night.csv.gz'), '--rated-wh', '512', '--zone', 'Europe/Rome', '--every', '900'],
    );
    expect(zipped).toEqual(shown);
  });

  it('uses nothing of what comes after', () => {
    const until = NIGHT_AT + 100 * MINUTE;
    writeFileSync(file('cut.csv'), recordingCsv(NIGHT.filter(r => r.at <= until)));
    writeFileSync(
      file('other.csv'),
      recordingCsv(NIGHT.map(r => (r.at <= until ? r : { ...r, outputW: 700, stateOfChargePct: 5 }))),
    );
    const before = shown.projections.filter(p => Date.parse(p.at) <= until);
    expect(before.length).toBe(7);
    for (const name of ['cut.csv', 'other.csv']) {
      const { projections } = said(
        ...['--recording', file(name), '--rated-wh', '512', '--zone', 'Europe/Rome', '--every', '900'],
      );
      expect(projections.slice(0, before.length)).toEqual(before);
    }
  });

  it('scores nothing that did not come true', () => {
    const { score } = said('--recording', file('cut.csv'), '--rated-wh', '512', '--every', '900');
    expect([score.points, score.coverage80, score.medianAbsPctError['50']]).toEqual([0, null, null]);
  });

  it("scores the station's own time beside, against the same floor", () => {
    const { score } = said('--recording', file('stated.csv'), '--rated-wh', '512', '--every', '900');
    expect(score.stated.points).toBe(score.points);
    expect(score.stated.medianAbsPctErrorOverall).toBeCloseTo(score.naive.medianAbsPctErrorOverall, 0);
  });

  it('goes down to the floor that is asked for', () => {
    const higher = night('--every', '900', '--floor', '25').score;
    expect(higher.points).toBeGreaterThan(0);
    expect(higher.points).toBeLessThan(shown.score.points);
  });

  it('keeps what earlier recordings taught', () => {
    const dayMs = 24 * 60 * MINUTE;
    writeFileSync(file('next.csv'), recordingCsv(NIGHT.map(r => ({ ...r, at: r.at + dayMs }))));
    const next = ['--recording', file('next.csv'), '--rated-wh', '512', '--every', '900'];
    const alone = said(...next);
    const taught = said(...next, '--after', file('night.csv'));
    expect(taught.projections.length).toBe(alone.projections.length);
    expect(taught.projections).not.toEqual(alone.projections);
    expect(taught.score.medianAbsPctErrorOverall).toBeLessThan(15);
  });

  it('tells the time to full of a charge', () => {
    const rows = Array.from({ length: 241 }, (_, i) => row(NIGHT_AT + i * MINUTE, 10, Math.round(20 + i / 3), 120));
    writeFileSync(file('charge.csv'), recordingCsv(rows));
    const { projections, score } = said(
      ...['--recording', file('charge.csv'), '--rated-wh', '512', '--input', 'wall', '--every', '900'],
    );
    expect(projections.filter(p => p.fullAt !== null).length).toBeGreaterThan(10);
    expect(score.fill).toMatchObject({ runs: 1 });
    expect(score.fill.medianAbsPctErrorOverall).toBeTypeOf('number');
  });

  it('takes floor, label, zone and place from the settings', () => {
    writeFileSync(
      file('settings.toml'),
      `[[station]]\nid = "shed"\nname = "Honey shed"\nratedWh = 512\nreserveFloorPct = 25\nzone = "Europe/Rome"\n` +
        `transport = { kind = "typed" }\nplace = { latitudeDeg = 45.5, longitudeDeg = 9 }\n`,
    );
    const told = said('--recording', file('night.csv'), '--settings', file('settings.toml'), '--every', '900');
    expect(told.projections[0]!.at).toBe('2026-11-08T20:00:00+01:00');
    expect(told.score.points).toBe(night('--every', '900', '--floor', '25').score.points);
  });
});

describe('wattkeep outlast', () => {
  it('prints a table for a reader, wattkeep beside the plain ways', () => {
    const { status, stdout } = run('--recording', file('night.csv'), '--rated-wh', '512', '--every', '900');
    expect(status).toBe(0);
    for (const word of ['wattkeep', 'watts of the moment', 'mean of 60 min', 'held', 'warning at 30 min'])
      expect(stdout).toContain(word);
    expect(run('--recording', file('cut.csv'), '--every', '900').stdout).toContain('nothing can be judged');
    expect(run('--help').stdout).toContain('--after');
  });

  it.each([
    [[], 'recording', 'USAGE'],
    [['--recording', 'nowhere.csv'], 'nowhere.csv', 'USAGE'],
    [['--recording', '.'], 'cannot be read', 'USAGE'],
    [['--recording', 'bad.gz'], 'bad.gz', 'USAGE'],
    [['--recording', 'empty.csv'], 'empty', 'IMPORT_HEADER'],
    [['--recording', 'head.csv'], 'stateOfChargePct', 'IMPORT_HEADER'],
    [['--recording', 'row.csv'], 'line 3', 'IMPORT_ROW'],
    [['--recording', 'night.csv', '--floor', '95'], '--floor', 'USAGE'],
    [['--recording', 'night.csv', '--every', '0'], '--every', 'USAGE'],
    [['--recording', 'night.csv', '--rated-wh', 'much'], '--rated-wh', 'USAGE'],
    [['--recording', 'night.csv', '--zone', 'Mars/Base'], '--zone', 'USAGE'],
    [['--recording', 'night.csv', '--input', 'moon'], '--input', 'USAGE'],
    [['--recording', 'night.csv', 'more'], 'more', 'USAGE'],
    [['--recording', 'night.csv', '--after', 'next.csv'], 'night.csv begins before', 'USAGE'],
    [['--recording', 'night.csv', '--settings', 'settings.toml', '--station', 'barn'], 'barn', 'STATION_UNKNOWN'],
  ])('refuses %j with 2 and says what to give', (args, named, code) => {
    writeFileSync(file('bad.gz'), new Uint8Array([0x1f, 0x8b, 8, 0, 1, 2, 3]));
    writeFileSync(file('empty.csv'), '');
    writeFileSync(file('head.csv'), 'time,inputPowerW,outputPowerW\n');
    writeFileSync(
      file('row.csv'),
      `time,inputPowerW,outputPowerW,stateOfChargePct\n${NIGHT_AT},0,1,50\n${NIGHT_AT},0,x,50\n`,
    );
    const { status, stdout, stderr } = run(...args.map(a => (/\.(csv|gz|toml)$|^\.$/.test(a) ? file(a) : a)));
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain(named);
    expect(stderr).toContain(code);
  });
});
