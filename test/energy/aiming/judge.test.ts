import { describe, expect, it } from 'vitest';
import type { Limit } from '#energy/estimates/aiming/asked';
import { createYard, kindsOf, ranks, rising } from './stage.ts';

describe('two spots under a steady sky', () => {
  it.each([
    ['five times a second', 200],
    ['every second', 1000],
    ['every five seconds', 5000],
    ['every ten seconds', 10_000],
  ])('are told apart within a minute by a station read %s in whole watts', (_, everyMs) => {
    const yard = createYard({ everyMs });
    yard.stand(200, 90);
    yard.mark();
    yard.carry(12);
    const { verdict, here } = yard.stand(214, 60).at(-1)!;
    expect(verdict).toMatchObject({ kind: 'better', than: 'A', here: null });
    expect(here!.meanW).toBeCloseTo(214, -0.5);
    expect(Math.abs(verdict.differenceW! - 14)).toBeLessThan(verdict.giveOrTakeW!);
    expect(verdict.giveOrTakeW!).toBeLessThan(8);
  });

  it('are said worse the other way round, with the better mark first', () => {
    const yard = createYard();
    yard.stand(220, 90);
    yard.mark();
    yard.carry(12);
    yard.stand(190, 45);
    yard.mark();
    const look = yard.stand(190, 15).at(-1)!;
    expect(look.verdict).toMatchObject({ kind: 'worse', than: 'A', here: 'B' });
    expect(look.marks.map(mark => mark.letter)).toEqual(['A', 'B']);
    expect(look.marks.every(mark => mark.why === 'ok' && mark.now !== null)).toBe(true);
  });

  it('that give the same are never ranked, and are said the same once it is known well enough', () => {
    const yard = createYard({ stepW: 0.1 });
    yard.stand(200, 240);
    yard.mark();
    yard.carry(8, 150);
    const said = yard.stand(200, 60);
    expect(ranks(said)).toBe(false);
    expect(said.at(-1)!.verdict.kind).toBe('same');
  });

  it("are compared with the sun's own climb taken out, and what it explains is told", () => {
    const yard = createYard({ light: rising(0.01), stepW: 0.1 });
    yard.stand(200, 120);
    yard.mark();
    yard.carry(10, 150);
    const { verdict } = yard.stand(200, 60).at(-1)!;
    expect(['same', 'holding', 'warming']).toContain(verdict.kind);
    // A minute and a half at 1 % a minute.
    expect(verdict.sunExplainsW!).toBeGreaterThan(1);
    expect(verdict.sunExplainsW!).toBeLessThan(4.5);
    expect(Math.abs(verdict.differenceW!)).toBeLessThan(2);
  });

  it.each([
    ['the plane is not known', rising(0.002, 'level')],
    ['there is no place', null],
  ])('are told with a wider range where %s', (_, unsure) => {
    const [known, wider] = [rising(0.002), unsure].map(light => {
      const yard = createYard({ light });
      yard.stand(200, 120);
      yard.mark();
      yard.carry(10, 150);
      return yard.stand(216, 60).at(-1)!.verdict.giveOrTakeW!;
    });
    expect(wider!).toBeGreaterThan(known!);
  });

  it('take in a step turned by hand without a word: the mark stays with the stretch it was made on', () => {
    const yard = createYard();
    yard.stand(200, 120);
    yard.mark();
    expect(yard.stand(200, 3).at(-1)!.verdict.here).toBe('A');
    const { verdict } = yard.stand(206, 50).at(-1)!;
    expect(verdict).toMatchObject({ here: null, than: 'A' });
    expect(verdict.differenceW!).toBeGreaterThan(2);
  });
});

describe('before anything can be told', () => {
  it('the tracker is waited for: nothing is said of a plateau while power still hunts', () => {
    const yard = createYard();
    yard.stand(200, 90);
    yard.mark();
    yard.carry(12);
    const said = yard.stand(220, 20);
    expect(said.slice(0, 4).map(look => look.verdict.kind)).toEqual(['settling', 'settling', 'settling', 'settling']);
    expect(said[2]!.here).toBeNull();
    expect(said.some(look => look.verdict.kind === 'holding' && look.verdict.holdMs! > 0)).toBe(true);
  });

  it('a sweep of the tracker is no move', () => {
    const yard = createYard();
    yard.stand(200, 60);
    yard.mark();
    yard.stand(70, 3);
    const { verdict, here } = yard.stand(200, 10).at(-1)!;
    expect(verdict.here).toBe('A');
    expect(here!.meanW).toBeCloseTo(200, 0);
  });

  it('there is no mark to be had while panels are in hands, and none to be held against before the first', () => {
    const yard = createYard();
    yard.carry(10);
    expect(yard.judge.measure(yard.nowMs())).toBeNull();
    expect(yard.stand(200, 30).at(-1)!.verdict.kind).toBe('none');
  });

  it('the owner may say that panels were moved: what stood before is over', () => {
    const yard = createYard();
    yard.stand(200, 60);
    yard.judge.moved(yard.nowMs());
    expect(yard.look().verdict.kind).toBe('settling');
    expect(yard.stand(200, 12).at(-1)!.here).not.toBeNull();
  });

  it('the night is called dark', () => {
    const yard = createYard({ light: { of: 'level', wm2: () => 0 } });
    expect(yard.stand(0, 20).at(-1)!.verdict.kind).toBe('dark');
  });

  it('readings that stopped leave nothing standing', () => {
    const yard = createYard();
    yard.stand(200, 60);
    expect(yard.judge.look([], { spot: null, light: null }, yard.nowMs() + 60_000)).toMatchObject({
      here: null,
      verdict: { kind: 'settling' },
    });
  });
});

describe('while the station is the limit', () => {
  it.each(['full', 'taper', 'port', 'cold', 'owner', 'load'] as const)('(%s) nothing is ranked', (by: Limit) => {
    const yard = createYard();
    yard.stand(200, 90);
    yard.mark();
    yard.carry(10);
    yard.limit(by);
    const said = yard.stand(120, 60);
    expect(kindsOf(said.slice(1))).toEqual(['limited']);
    expect(said.at(-1)!.verdict.limitedBy).toBe(by);
  });

  it('what comes once it is gone is measured without what came before', () => {
    const yard = createYard();
    yard.stand(200, 90);
    yard.mark();
    yard.carry(12);
    yard.limit('port');
    yard.stand(214, 30);
    yard.limit(null);
    const { verdict, here } = yard.stand(214, 40).at(-1)!;
    expect(verdict).toMatchObject({ kind: 'better', than: 'A' });
    expect(here!.meanW).toBeCloseTo(214, 0);
  });

  it('what was measured under a limit is not held against later', () => {
    const yard = createYard();
    yard.limit('port');
    yard.stand(200, 90);
    yard.mark();
    yard.limit(null);
    yard.carry(14);
    const said = yard.stand(214, 60);
    expect(ranks(said)).toBe(false);
    expect(said.at(-1)!.marks[0]).toMatchObject({ why: 'limited', now: null });
  });
});

describe('marks that cannot be ranked', () => {
  it('are those of other panels, and those of more than half an hour ago', () => {
    const yard = createYard();
    yard.stand(200, 90);
    yard.mark();
    yard.marks[0] = { ...yard.marks[0]!, otherPanels: true };
    expect(yard.look().marks[0]!.why).toBe('otherPanels');
    yard.marks[0] = { ...yard.marks[0]!, otherPanels: false };
    expect(yard.look().marks[0]!.why).toBe('ok');
    const later = yard.nowMs() + 31 * 60_000;
    expect(yard.judge.look(yard.marks, { spot: null, light: null }, later).marks[0]!.why).toBe('old');
  });

  it('are kept as plain JSON, and hold against a judge that never saw them made', () => {
    const [first, second] = [createYard(), createYard()];
    first.stand(200, 90);
    const made = JSON.parse(JSON.stringify(first.mark().measure));
    second.stand(200, 90);
    second.carry(10);
    second.marks.push({ ...first.marks[0]!, measure: made });
    expect(second.stand(215, 60).at(-1)!.verdict).toMatchObject({ kind: 'better', than: 'A' });
  });
});
