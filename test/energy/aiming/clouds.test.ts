import { describe, expect, it } from 'vitest';
import { createYard, kindsOf, ranks, rising } from './stage.ts';

const S = 1000;
/** Falls to a share between two seconds and comes back after others; an edge takes some seconds. */
const cloud =
  (fromS: number, toS: number, share: number, edgeS = 6) =>
  (ms: number) => {
    const s = ms / S;
    const inside = Math.min(1, Math.max(0, (s - fromS) / edgeS)) * Math.min(1, Math.max(0, (toS - s) / edgeS));
    return 1 - (1 - share) * inside;
  };
/** A deck that thickens and thins by some percent within a minute. */
const deck = (ms: number) => 0.5 + 0.012 * Math.sin(ms / 9_000);

describe('under clouds', () => {
  it('one that comes while the panels stand is not taken for a worse spot', () => {
    const yard = createYard({ sky: cloud(70, 160, 0.45) });
    yard.stand(200, 50);
    yard.mark();
    yard.carry(8, 150);
    const said = yard.stand(202, 90);
    expect(ranks(said)).toBe(false);
    expect(kindsOf(said)).toContain('clouds');
  });

  it('a restless sky is waited out: hold still, and for how long', () => {
    const yard = createYard({ sky: deck });
    yard.stand(200, 60);
    yard.mark();
    yard.carry(10, 60);
    const said = yard.stand(240, 60);
    expect(ranks(said)).toBe(false);
    const { verdict, sky } = said.at(-1)!;
    expect([verdict.kind, sky]).toEqual(['clouds', 'unsteady']);
    expect(verdict.holdMs!).toBeGreaterThan(0);
    expect(verdict.holdMs!).toBeLessThanOrEqual(60_000);
  });

  it.each([
    ['a gleam of some seconds', [4]],
    ['two great steps soon after each other', [30, 30]],
  ] as const)('%s, without a dip, is no carrying about', (_, lasts) => {
    const yard = createYard();
    yard.stand(120, 90);
    yard.mark();
    for (const [k, seconds] of lasts.entries()) yard.stand(k === 0 ? 170 : 118, seconds);
    const said = yard.stand(lasts.length === 1 ? 120 : 170, 30);
    expect(said.at(-1)!.sky).toBe('unsteady');
    expect(ranks(said.slice(12))).toBe(false);
  });

  it('once they have passed it asks to go back to the first spot', () => {
    const yard = createYard({ sky: cloud(68, 100, 0.4) });
    yard.stand(200, 50);
    yard.mark();
    yard.carry(8, 150);
    const said = yard.stand(202, 150);
    expect(ranks(said)).toBe(false);
    expect(said.at(-1)!.verdict).toMatchObject({ kind: 'goBack', than: 'A' });
  });

  it('and having gone back it tells: there and back again', () => {
    const yard = createYard({ sky: cloud(66, 78, 0.4) });
    yard.stand(200, 50);
    yard.mark('step');
    yard.carry(8, 150);
    yard.stand(224, 280, 'fence');
    yard.mark('fence');
    yard.carry(10, 150);
    const { verdict } = yard.stand(200, 60, 'step').at(-1)!;
    expect(verdict).toMatchObject({ kind: 'worse', here: 'A', than: 'B' });
    expect(Math.abs(verdict.differenceW! + 24)).toBeLessThan(verdict.giveOrTakeW!);
  });

  it('a sky that dims evenly cancels there and back again', () => {
    const dims = (ms: number) => 1 - (0.006 * ms) / 60_000;
    const walk = (goesBack: boolean) => {
      const yard = createYard({ sky: dims, stepW: 0.1, light: rising(0) });
      yard.stand(200, 60);
      yard.mark('step');
      yard.carry(8, 180);
      const there = yard.stand(203, 60, 'fence');
      if (!goesBack) return there.at(-1)!.verdict;
      yard.mark('fence');
      yard.carry(8, 180);
      return yard.stand(200, 60, 'step').at(-1)!.verdict;
    };
    const [oneWay, andBack] = [walk(false), walk(true)];
    expect(Math.abs(andBack.differenceW! + 3)).toBeLessThan(1);
    expect(Math.abs(andBack.differenceW! + 3)).toBeLessThan(Math.abs(oneWay.differenceW! - 3) + 0.5);
  });

  it('panels that stand still beside tell what the sky did: spots are ranked by their share of them', () => {
    const yard = createYard({ sky: deck });
    yard.reference(180);
    yard.stand(200, 60);
    yard.mark();
    yard.carry(10, 60);
    const { verdict } = yard.stand(240, 60).at(-1)!;
    expect(verdict).toMatchObject({ kind: 'better', than: 'A' });
  });
});

describe('panels just turned to the sun', () => {
  it('flatter: what they lose while they warm is taken off before they are compared', () => {
    const [warm, cold] = [0, 100].map(coldS => {
      const yard = createYard({ stepW: 0.1, hunting: 0.0005 });
      yard.stand(200, 280);
      yard.mark();
      // Folded up for a while, or carried over at once.
      yard.carry(Math.max(8, coldS), coldS > 0 ? 2 : 180);
      return yard.stand(210, 60).at(-1)!.verdict;
    });
    expect(warm!.kind).toBe('better');
    expect(cold!.differenceW!).toBeLessThan(warm!.differenceW! - 3);
    expect(cold!.giveOrTakeW!).toBeGreaterThan(2 * warm!.giveOrTakeW!);
    expect(cold!.kind).toBe('warming');
  });

  it('so nothing is said of a small gain until they are warm', () => {
    const yard = createYard({ stepW: 0.1, hunting: 0.0005 });
    yard.stand(200, 240);
    yard.mark();
    yard.carry(100, 2);
    const said = yard.stand(208, 50);
    expect(ranks(said)).toBe(false);
    expect(kindsOf(said)).toContain('warming');
  });
});
