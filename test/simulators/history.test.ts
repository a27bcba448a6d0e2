import { spawnSync } from 'node:child_process';
import Papa from 'papaparse';
import { describe, expect, it } from 'vitest';
import { isQuantityKey } from '#kit/quantities';
import { historyCsv, PAST_GRID_MS } from '../../simulators/history.ts';
import { civilDays } from '../../simulators/plant/civil-days.ts';
import { RUN } from '../support/simulator.ts';
import { DAY_MS, MIDNIGHT, shedAt } from './shed.ts';

const UNTIL = MIDNIGHT + 10.5 * 3_600_000 + 12_345;
type Row = Record<string, string>;

const printed = (...args: string[]) =>
  spawnSync(process.execPath, [RUN, '--zone', 'Europe/Lisbon', ...args], { encoding: 'utf8', maxBuffer: 1e8 });

describe('the printed past', () => {
  const { stdout, status } = printed('--history', '21', '--until', new Date(UNTIL).toISOString());
  const { data: rows, errors, meta } = Papa.parse<Row>(stdout, { header: true, skipEmptyLines: false });

  it('is a recording that an independent parser reads without complaint, CRLF to the last row', () => {
    expect(status).toBe(0);
    expect(errors.filter(e => e.row !== rows.length - 1)).toEqual([]);
    expect(meta.linebreak).toBe('\r\n');
    expect(stdout.endsWith('\r\n')).toBe(true);
    expect(stdout.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/);
    expect(meta.fields!.slice(0, 4)).toEqual(['time', 'inputPowerW', 'outputPowerW', 'stateOfChargePct']);
    for (const name of meta.fields!.slice(1)) expect(isQuantityKey(name)).toBe(true);
  });

  const past = rows.slice(0, -1);

  it('has a row for every minute of three weeks, up to the last whole minute', () => {
    const times = past.map(r => Date.parse(r.time!));
    expect(times).toHaveLength(21 * 24 * 60);
    expect(times.at(-1)).toBe(Math.floor(UNTIL / 60_000) * 60_000);
    expect(times.filter((ms, k) => k > 0 && ms - times[k - 1]! !== 60_000)).toEqual([]);
    expect(past[0]!.time).toMatch(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d$/);
  });

  it('has numbers everywhere and a state of charge that jumps only to full, where the gauge is anchored anew', () => {
    const names = meta.fields!.slice(1);
    expect(past.filter(row => names.some(name => !/^-?\d+(\.\d+)?$/.test(row[name]!)))).toEqual([]);
    const pct = past.map(row => Number(row.stateOfChargePct));
    const jumps = pct.filter((p, k) => k > 0 && Math.abs(p - pct[k - 1]!) > 2);
    expect(jumps.filter(p => p !== 100)).toEqual([]);
    expect(jumps.length).toBeLessThan(8);
  });

  it('holds rich and poor days, and a pack that cycles', () => {
    const wh = new Map<string, number>();
    for (const r of past)
      wh.set(r.time!.slice(0, 10), (wh.get(r.time!.slice(0, 10)) ?? 0) + Number(r.solarPowerW) / 60);
    const days = [...wh.values()].slice(1, -1);
    expect(Math.min(...days)).toBeLessThan(700);
    expect(Math.min(...days)).toBeGreaterThan(150);
    expect(Math.max(...days)).toBeGreaterThan(1400);
    expect(Math.max(...days)).toBeLessThan(2000);
    const pct = past.map(r => Number(r.stateOfChargePct));
    expect(Math.max(...pct)).toBe(100);
    expect(Math.min(...pct)).toBeLessThan(45);
    expect(Math.min(...pct)).toBeGreaterThan(15);
  });

  const live = (...args: string[]) => {
    const all = [RUN, '--zone', 'Europe/Lisbon', '--at', new Date(UNTIL).toISOString(), '--tcp', '0', ...args];
    const { stdout } = spawnSync(process.execPath, all, { input: 'now\nquit\n', encoding: 'utf8' });
    return JSON.parse(stdout.split('\n')[1]!) as { quantities: Record<string, number> };
  };
  const end = past.at(-1)!;

  it('goes on in a live run with the same seed where it ended', () => {
    const { quantities: q } = live();
    expect(q.stateOfChargePct).toBe(Number(end.stateOfChargePct));
    expect(Math.abs(q.batteryTempC! - Number(end.batteryTempC))).toBeLessThan(0.2);
  });

  it('goes on as well in a shed that has been alive for a year', () => {
    const { quantities: q } = live('--since', new Date(UNTIL - 400 * DAY_MS).toISOString());
    expect(Math.abs(q.stateOfChargePct! - Number(end.stateOfChargePct))).toBeLessThanOrEqual(1);
  });
});

describe('the rows of the past', () => {
  it('add up to the plant’s own ledger, day by day', () => {
    const from = MIDNIGHT - 4 * DAY_MS;
    const csv = [...historyCsv(shedAt(from), 'UTC', from, MIDNIGHT)].join('');
    const plant = shedAt(from);
    plant.step(MIDNIGHT, PAST_GRID_MS);
    const { data } = Papa.parse<Row>(csv.trimEnd(), { header: true });
    for (let start = from; start < MIDNIGHT; start += DAY_MS) {
      const day = civilDays('UTC').at(start);
      const inDay = data.filter(r => Date.parse(r.time!) > day.startMs && Date.parse(r.time!) <= day.endMs);
      const sum = inDay.reduce((wh, r) => wh + Number(r.solarPowerW) / 60, 0);
      expect(Math.abs(sum / plant.ledger.between(day.startMs, day.endMs).solarWh - 1)).toBeLessThan(0.001);
    }
  });
});
