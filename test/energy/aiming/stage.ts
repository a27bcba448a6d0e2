/** A yard for the judge: watts by a course, told at a rate and in steps, with spots, moves and a sky of the test's own. */
import type { Light, Limit, Look, MarkedSpot } from '#energy/estimates/aiming/asked';
import { createAimJudge } from '#energy/estimates/aiming/judge';
import { createChance } from '#energy/estimates/chance';

export const START_MS = Date.UTC(2026, 5, 21, 10);
const FINE_MS = 50;
const HAND_MS = 1_300;

export interface YardOptions {
  readonly everyMs?: number;
  readonly stepW?: number;
  /** Standard deviation of the tracker's hunting, as a share. */
  readonly hunting?: number;
  /** What the sky lets through, 0..1. */
  readonly sky?: (sinceStartMs: number) => number;
  readonly light?: Light | null;
  readonly ratedW?: number | null;
}

/** A light that changes by a share a minute. */
export const rising = (perMin: number, of: Light['of'] = 'plane'): Light => ({
  of,
  wm2: atMs => 700 * (1 + (perMin * (atMs - START_MS)) / 60_000),
});

export function createYard({
  everyMs = 1000,
  stepW = 1,
  hunting = 0.002,
  sky = () => 1,
  light = rising(0),
  ratedW = 300,
}: YardOptions = {}) {
  const judge = createAimJudge({ ratedW, powerPerK: null });
  const chance = createChance(7);
  const marks: MarkedSpot[] = [];
  let atMs = START_MS;
  let limitedBy: Limit | null = null;
  let referenceW: number | null = null;
  let spot: string | null = null;

  const tell = (powerW: number): void => {
    const shown = Math.max(0, Math.round((powerW * (1 + hunting * chance.normal())) / stepW) * stepW);
    const reference = referenceW === null ? null : Math.round((referenceW * sky(atMs - START_MS)) / stepW) * stepW;
    judge.add({ atMs, powerW: shown, referenceW: reference, limitedBy });
  };
  const look = (): Look => judge.look(marks, { spot, light }, atMs);

  return {
    judge,
    marks,
    look,
    nowMs: () => atMs,
    limit: (by: Limit | null) => {
      limitedBy = by;
    },
    reference: (powerW: number | null) => {
      referenceW = powerW;
    },
    /** Panels stand so that they give this under the whole sky at the start. @returns what was said, second by second */
    stand(powerW: number, seconds: number, named: string | null = null): Look[] {
      spot = named;
      const said: Look[] = [];
      const clearAt = (ms: number) => (light === null ? 1 : light.wm2(ms)! / light.wm2(START_MS)!);
      for (const endMs = atMs + seconds * 1000; atMs < endMs; atMs += FINE_MS) {
        if ((atMs - START_MS) % everyMs === 0) tell(powerW * sky(atMs - START_MS) * clearAt(atMs));
        if ((atMs - START_MS) % 1000 === 0) said.push(look());
      }
      return said;
    },
    /** Panels in hands: anyhow. */
    carry(seconds: number, aroundW = 90): void {
      let w = aroundW;
      for (const endMs = atMs + seconds * 1000; atMs < endMs; atMs += FINE_MS) {
        if ((atMs - START_MS) % HAND_MS < FINE_MS) w = aroundW * (0.3 + 1.2 * chance.uniform());
        if ((atMs - START_MS) % everyMs === 0) tell(w);
      }
    },
    mark(key: string | null = null, markLight: Light | null = light): MarkedSpot {
      const measure = judge.measure(atMs);
      if (measure === null) throw new Error('nothing measured to be marked');
      const letter = String.fromCharCode(65 + marks.length);
      const made = { id: marks.length + 1, letter, spot: key, measure, light: markLight, otherPanels: false };
      marks.push(made);
      return made;
    },
  };
}

export const kindsOf = (said: readonly Look[]): string[] => [...new Set(said.map(look => look.verdict.kind))];
export const ranks = (said: readonly Look[]): boolean =>
  said.some(({ verdict }) => verdict.kind === 'better' || verdict.kind === 'worse');
