import { describe, expect, it } from 'vitest';
import { CURVES, ENDS, SPOILERS, TRIAL_KINDS, WAITS } from '#energy/estimates/trials/asked';
import { FIGURES } from '#energy/estimates/trials/figure';
import { KINDS, NOT_MEASURABLE } from '#energy/estimates/trials/kinds';
import { SOURCES } from '#energy/estimates/trials/terms';
import * as messages from '#messages';

const options = (schema: unknown): string[] => {
  const inner = (schema as { wrapped?: unknown }).wrapped ?? schema;
  return [...(inner as { options: string[] }).options].sort();
};
const sorted = (of: readonly string[]) => [...of].sort();

describe('what travels of trials', () => {
  it('names the same kinds, figures, sources, spoilers and moments as the judges do', () => {
    const { WireJudgement, WireFigure, WireBudgetLine, WireTrialCurve, TrialKind } = messages;
    expect(options(TrialKind)).toEqual(sorted(TRIAL_KINDS));
    expect(options(WireFigure.entries.what)).toEqual(sorted(FIGURES));
    expect(options(WireBudgetLine.entries.source)).toEqual(sorted(SOURCES));
    expect(options(WireTrialCurve.entries.of)).toEqual(sorted(CURVES));
    expect(options(WireJudgement.entries.waitsFor)).toEqual(sorted(WAITS));
    expect(options(WireJudgement.entries.endsBecause)).toEqual(sorted(ENDS));
    expect(options(WireJudgement.entries.spoiledBy.item.entries.what)).toEqual(sorted(SPOILERS));
  });

  it('lists each kind once, and what telemetry is too slow for', () => {
    expect(KINDS.map(row => row.kind)).toEqual([...TRIAL_KINDS]);
    for (const row of KINDS) expect(row.usualHours[0]).toBeLessThan(row.usualHours[1]);
    expect(NOT_MEASURABLE.map(row => row.kind)).toEqual(['switchOver', 'surge']);
    for (const row of NOT_MEASURABLE) expect(row.needsMs).toBeLessThan(1000);
  });
});
