/** Runs of every kind, with a fault or without, and what was said of them. */
import type { TrialAsked, TrialJudgement, TrialKind } from '#energy/estimates/trials/asked';
import { judgeTrial } from '#energy/estimates/trials/judge';
import { dischargeScript, HOUR, loadOf, MINUTE, usableAsked } from './discharges.ts';
import { type Fault, LATER_MS } from './faults.ts';
import { drawHidden, type Hidden, trueBusW } from './hidden.ts';
import { live, type Script } from './lived.ts';
import {
  askedOf,
  chargeOptions,
  chargeScript,
  converterOptions,
  converterScript,
  ownDrawOptions,
  ownDrawScript,
  stepLoads,
} from './other-trials.ts';
import { drawYard, sunDay, twoSets } from './suns.ts';

/** When a run begins and about how long it takes, since the start of its script. */
interface Run {
  readonly script: Script;
  readonly fromMs: number;
  readonly lastsMs: number;
  readonly loadW: number;
}

function runOf(kind: TrialKind, hidden: Hidden, seed: number): Run {
  switch (kind) {
    case 'usable': {
      const loadW = loadOf(hidden, seed);
      const lastsMs = (0.95 * hidden.ratedWh * HOUR) / trueBusW(hidden, loadW);
      return { script: dischargeScript(loadW, seed), fromMs: 19 * MINUTE, lastsMs, loadW };
    }
    case 'ownDraw': {
      // Until some four percents are gone.
      const lastsMs = (0.045 * hidden.ratedWh * HOUR) / trueBusW(hidden, 0);
      return { script: ownDrawScript(hidden, seed), fromMs: 3 * MINUTE, lastsMs, loadW: 0 };
    }
    case 'converter': {
      const loads = stepLoads(hidden, seed);
      const script = converterScript(hidden, loads);
      return { script, fromMs: 3 * MINUTE, lastsMs: script.longestMs - 5 * MINUTE, loadW: loads[1]! };
    }
    default: {
      const watts = Math.min(hidden.chargerMaxW, 50 * hidden.pack.maxChargeA) * hidden.chargerShare;
      return { script: chargeScript(5, seed), fromMs: 4 * MINUTE, lastsMs: (hidden.ratedWh * HOUR) / watts, loadW: 0 };
    }
  }
}

function askedBy(kind: TrialKind, hidden: Hidden, run: Run, seed: number): TrialAsked {
  const lived = live(hidden, run.script, seed);
  if (kind === 'usable') return usableAsked(hidden, lived, 'none') as TrialAsked;
  if (kind === 'ownDraw') return askedOf(hidden, lived, kind, ownDrawOptions(hidden)) as TrialAsked;
  if (kind === 'converter') return askedOf(hidden, lived, kind, converterOptions(hidden, 'none')) as TrialAsked;
  return askedOf(hidden, lived, 'charge', chargeOptions(hidden, null, 'none')) as TrialAsked;
}

/** A run of a kind, judged long after; with a fault where one is given. Too cold or warm is what the owner said. */
export function judgeRun(kind: TrialKind, fault: Fault | null, seed: number): TrialJudgement {
  if (kind === 'solar' || kind === 'twoSets') {
    const yard = drawYard(3 * seed);
    const change = fault?.told === undefined ? undefined : (s: TrialAsked['samples']) => fault.told!(s, 0, 0);
    const asked =
      kind === 'solar' ? sunDay(yard, change).asked : twoSets(yard, seed % 2 === 0 ? 'ports' : 'alternated', 1, change);
    return judgeTrial({ ...asked, nowAt: asked.nowAt + LATER_MS } as TrialAsked);
  }
  const hidden = drawHidden(seed);
  const run = runOf(kind, hidden, seed);
  const changed = { ...run, script: fault?.script?.(run.script, run.fromMs, run.lastsMs, run.loadW) ?? run.script };
  const asked = askedBy(kind, hidden, changed, seed);
  const samples = fault?.told?.(asked.samples, run.fromMs, run.lastsMs) ?? asked.samples;
  return judgeTrial({ ...asked, samples, nowAt: asked.nowAt + LATER_MS });
}

/** Told as good: done, with a result. */
export const isGood = ({ phase, result }: TrialJudgement): boolean => phase === 'done' && result !== null;
