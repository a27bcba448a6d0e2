import { describe, expect, it } from 'vitest';
import { createGauge, type GaugeFacts } from '../../simulators/plant/battery/gauge.ts';

const AH = 30;
const facts: GaugeFacts = { chargeGain: 0.95, dischargeGain: 1, blindA: 0.05, rounding: 'round' };

/** A gauge beside the truth it counts, both moved by a current, by the minute. */
function beside(change: Partial<GaugeFacts>, start: number) {
  let truth = start;
  const gauge = createGauge({ ...facts, ...change }, AH, start);
  return {
    gauge,
    truth: () => truth,
    run(currentA: number, minutes: number): number[] {
      return Array.from({ length: minutes }, () => {
        truth = Math.min(1, Math.max(0, truth + currentA / 60 / AH));
        gauge.count(currentA, 60, truth);
        return gauge.shownPct();
      });
    },
  };
}

describe('the gauge', () => {
  it('drifts from the truth with what it counts wrong, and jumps to 100 once the pack is really full', () => {
    const { gauge, run, truth } = beside({}, 0.5);
    const shown = run(10, 100);
    const full = shown.indexOf(100);
    expect(truth()).toBe(1);
    expect(100 - shown[full - 1]!).toBeGreaterThanOrEqual(2);
    expect(gauge.share()).toBe(1);
  });

  it('shows no full before it is full, however far it is ahead', () => {
    const { run, truth } = beside({ chargeGain: 1.2 }, 0.5);
    const shown = run(10, 80);
    expect(truth()).toBeLessThan(1);
    expect(Math.max(...shown)).toBe(99);
  });

  it('falls to what the voltage says near empty, once on each way down', () => {
    const { run, gauge, truth } = beside({ dischargeGain: 0.8 }, 0.6);
    const shown = run(-5, 200);
    const steps = shown.slice(1).map((pct, k) => shown[k]! - pct);
    expect(Math.max(...steps)).toBeGreaterThan(5);
    expect(steps.filter(step => step > 1)).toHaveLength(1);
    expect(Math.abs(gauge.share() - truth())).toBeLessThan(0.02);
  });

  it('does not see the smallest currents', () => {
    const { gauge, run } = beside({}, 0.5);
    run(-0.04, 3000);
    expect(gauge.shownPct()).toBe(50);
  });

  it('rounds as its station does', () => {
    const at = (rounding: GaugeFacts['rounding']) => createGauge({ ...facts, rounding }, AH, 0.507).shownPct();
    expect([at('floor'), at('round'), at('ceil')]).toEqual([50, 51, 51]);
    expect(createGauge({ ...facts, rounding: 'ceil' }, AH, 0.5).shownPct()).toBe(50);
  });
});
