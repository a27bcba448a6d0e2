/** The station's own level: clear hours tell it, clouds and limits do not pull it down. */
import { describe, expect, it } from 'vitest';
import { type DayLevel, dayLevel, levelOf, type Slot } from '#energy/ledger/own-level';

const slots = (share: (i: number) => number, open: (i: number) => boolean = () => true): Slot[] =>
  Array.from({ length: 48 }, (_, i) => {
    const clearW = 300 * Math.sin((Math.PI * (i + 0.5)) / 48);
    return { clearW, cameW: clearW * share(i), open: open(i) };
  });
const told = (level: number | null): DayLevel => ({ level, cameW: 600, clearW: 1000 });

describe('the own level of a day', () => {
  it('is what its clear hours share', () => {
    expect(dayLevel(slots(() => 0.87)).level).toBeCloseTo(0.87, 6);
    expect(dayLevel(slots(i => (i < 24 ? 0.87 : 0.2 + 0.05 * (i % 7)))).level).toBeCloseTo(0.87, 6);
  });

  it('is not there on a day of clouds, nor where all was held back', () => {
    expect(dayLevel(slots(i => 0.1 + 0.8 * ((i * 7919) % 13) * (1 / 13))).level).toBeNull();
    expect(
      dayLevel(
        slots(
          () => 0.87,
          () => false,
        ),
      ).level,
    ).toBeNull();
    expect(dayLevel([]).level).toBeNull();
  });

  it('is not the even light of a dull day: that is no panel’s level', () => {
    expect(dayLevel(slots(() => 0.2)).level).toBeNull();
  });
});

describe('the level that holds for a day', () => {
  it('is its own where it agrees with the days around', () => {
    expect(levelOf(told(0.9), [told(0.86), told(0.88), told(0.9)])).toMatchObject({ level: 0.9, isOwn: true, days: 3 });
  });

  it('is that of the days around where it has no clear hours, or where they would make another station of it', () => {
    const around = [told(0.86), told(0.88), told(0.9)];
    expect(levelOf(told(null), around)).toMatchObject({ level: 0.88, isOwn: false });
    expect(levelOf(told(0.55), [...around, told(0.55)])).toMatchObject({ level: 0.88, isOwn: false });
  });

  it('is the model’s where no day ever was clear, and says so', () => {
    expect(levelOf(told(null), [told(null)])).toMatchObject({ level: 1, days: 0, isOwn: false });
  });

  it('tells how much of a clear sky usually came', () => {
    expect(levelOf(told(0.8), [told(0.8)]).usualSky).toBeCloseTo(600 / 800, 9);
    expect(levelOf({ level: null, cameW: 0, clearW: 0 }, []).usualSky).toBe(0.65);
  });
});
