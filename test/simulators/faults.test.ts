import { describe, expect, it } from 'vitest';
import * as faults from '../../simulators/faults.ts';

const piece = (text: string): faults.Piece => ({ bytes: new TextEncoder().encode(text), afterMs: 0 });
const text = (p: faults.Piece) => new TextDecoder().decode(p.bytes);
const line = piece('{"solarPowerW":100,"inputPowerW":120}\n');
const often = (fault: faults.Fault, times = 2000) => Array.from({ length: times }, (_, k) => fault(line, k)).flat();

describe('faults', () => {
  it('repeat by their seed', () => {
    const run = (seed: number) => often(faults.garble(faults.seededRandom(seed), 0.05), 50).map(text);
    expect(run(3)).toEqual(run(3));
    expect(run(3)).not.toEqual(run(4));
  });

  it('drop about the share they are told', () => {
    const left = often(faults.drop(faults.seededRandom(1), 0.25)).length;
    expect(left).toBeGreaterThan(1400);
    expect(left).toBeLessThan(1600);
  });

  it('garble bytes without changing the length', () => {
    const out = often(faults.garble(faults.seededRandom(1), 0.5), 20);
    for (const p of out) expect(p.bytes.length).toBe(line.bytes.length);
    expect(out.map(text)).not.toContain(text(line));
  });

  it('send twice, late, or only the first half', () => {
    const random = faults.seededRandom(1);
    expect(often(faults.duplicate(random, 1), 5)).toHaveLength(10);
    for (const p of often(faults.delay(random, 40), 50)) expect(p.afterMs).toBeLessThan(40);
    for (const p of often(faults.halve(random, 1), 50)) {
      expect(text(line).startsWith(text(p))).toBe(true);
      expect(p.bytes.length).toBeLessThan(line.bytes.length);
      expect(p.bytes.length).toBeGreaterThan(0);
    }
  });

  it('let one quantity drift and leave the others', () => {
    const drift = faults.drift('solarPowerW', 20);
    expect(text(drift(line, 0)[0]!)).toBe(text(line));
    expect(JSON.parse(text(drift(line, 3_600_000)[0]!))).toEqual({ solarPowerW: 120, inputPowerW: 120 });
  });

  it('pass nothing while the cable is out', () => {
    const out = faults.unplug(10, 20);
    expect([9, 10, 19, 20].map(ms => out(line, ms).length)).toEqual([1, 0, 0, 1]);
  });

  it('compose from first to last', () => {
    const random = faults.seededRandom(1);
    const both = faults.composeFaults([
      faults.duplicate(random, 1),
      faults.drift('inputPowerW', 0),
      faults.halve(random, 1),
    ]);
    expect(both(line, 0)).toHaveLength(2);
    expect(faults.composeFaults([faults.drop(random, 1), faults.duplicate(random, 1)])(line, 0)).toEqual([]);
    expect(faults.composeFaults([])(line, 0)).toEqual([line]);
  });

  it('burst garbage of any length and frames at any rate', () => {
    for (const count of [1, 1300, 65_536, 200_000]) {
      const noise = faults.garbage(faults.seededRandom(1), count);
      expect(noise.reduce((n, p) => n + p.bytes.length, 0)).toBe(count);
    }
    const burst = faults.flood(line.bytes, 10_000, 0.5);
    expect(burst.reduce((n, p) => n + p.bytes.length, 0)).toBe(5000 * line.bytes.length);
    expect(burst.at(-1)!.afterMs).toBe(490);
  });

  it('are read from words, and refused where a number is missing', () => {
    const random = faults.seededRandom(1);
    for (const words of ['drop=0.1', 'garble=0.01', 'delay=50', 'duplicate=0.2', 'halve=1', 'drift=solarPowerW,20'])
      expect(faults.faultFromText(random, words)).toBeTypeOf('function');
    for (const words of ['', 'drop', 'drop=', 'drop=x', 'explode=1', 'drift=solarPowerW', 'toString=1'])
      expect(faults.faultFromText(random, words)).toBeNull();
  });
});
