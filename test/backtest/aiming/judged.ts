/**
 * A walk lived through: the plant is stepped four times a second, the station tells whole watts now and then, the judge
 * hears them, a mark is made at the first spot before the panels are taken up, and every second at the second spot
 * the judge is asked. Where it asks to go back, the walk goes back.
 */
import type { Light, MarkedSpot, VerdictKind } from '#energy/estimates/aiming/asked';
import { createAimJudge } from '#energy/estimates/aiming/judge';
import { totalWm2 } from '#energy/laws/plane-of-array';
import { onPlane } from '#energy/panel-power';
import { clearSkyOver, DEFAULT_TURBIDITY } from '#energy/sky';
import type { Stand } from './carried.ts';
import type { Walk } from './walks.ts';

const STEP_MS = 250;
/** Asked for so long at the second spot. */
const SECOND_MS = 120_000;
const IN_TIME_MS = 60_000;
const SIMPLE_MS = 10_000;
const ON_THE_WAY_MS = 3_000;
const TRUTH_EVERY_MS = 10_000;
/** Less than this is no difference to the one who carries panels. */
export const DIFFERS_SHARE = 0.05;

export interface Judged {
  readonly walk: Walk;
  /** Second spot less the first, as a share of their mean, under a clear sky with warm cells. */
  readonly truth: number;
  /** What was said by 60 s after the panels were put down; a moment of hunting just then does not count. */
  readonly inTime: VerdictKind;
  /** Truth of that moment, under the sky of that moment. */
  readonly inTimeTruth: number;
  /** The first of `better` or `worse` ever said within two minutes, and the truth then; null: none. */
  readonly first: { readonly kind: 'better' | 'worse'; readonly afterMs: number; readonly truth: number } | null;
  /** Seconds in which it said the wrong one. */
  readonly wrongS: number;
  /** The higher watts win, ten seconds after being put down. */
  readonly naive: 'better' | 'worse' | 'same';
  readonly naiveTruth: number;
  /** Truth less what was said, over the range; null where no range was given at 60 s. */
  readonly missBy: number | null;
  /** There and back again, where going back was asked for: what was said in the end. */
  readonly back: VerdictKind | null;
  readonly backTruth: number;
}

/** Where panels are. */
export type Where = 'a' | 'b' | 'hands';

function lightOf(walk: Walk, stand: Stand): Light | null {
  if (walk.told === 'nothing') return null;
  const sky = clearSkyOver({ ...walk.place, altitudeM: walk.altitudeM, turbidity: DEFAULT_TURBIDITY });
  const plane = {
    tiltDeg: Math.max(0, stand.tiltDeg + walk.toldTurn.tiltDeg),
    azimuthDeg: stand.azimuthDeg + walk.toldTurn.azimuthDeg,
  };
  return walk.told === 'plane'
    ? { of: 'plane', wm2: ms => totalWm2(onPlane(sky(ms), plane)) }
    : { of: 'level', wm2: ms => sky(ms).ghiWm2 };
}

/** The station's display: mean of the last second, told in its steps. */
function createDisplay(stepW: number) {
  const last: number[] = [];
  return {
    add(powerW: number): void {
      last.push(powerW);
      if (last.length > 1000 / STEP_MS) last.shift();
    },
    shownW: () => Math.round(last.reduce((a, b) => a + b, 0) / last.length / stepW) * stepW,
  };
}

/** Asked every second, and there and back again; a smaller test may ask for less. */
export interface Manner {
  readonly askEveryMs?: number;
  readonly goesBack?: boolean;
  readonly trace?: (line: string) => void;
}

export function judgeWalk(walk: Walk, { askEveryMs = 1000, goesBack = true, trace }: Manner = {}): Judged {
  const source = walk.source();
  const judge = createAimJudge({ ratedW: walk.ratedTold ? source.ratedW : null, powerPerK: null });
  const display = createDisplay(walk.stepW);
  const [lightA, lightB] = [lightOf(walk, walk.a), lightOf(walk, walk.b)];
  let ms = walk.startMs;
  /** Lives until an instant with panels so, asking `each` after every second. */
  const live = (untilMs: number, where: Where, each?: (ms: number) => void): void => {
    for (const fromMs = ms; ms < untilMs; ms += STEP_MS) {
      display.add(source.stepW(ms, where, STEP_MS / 1000));
      if (ms % walk.everyMs === 0) judge.add({ atMs: ms, powerW: display.shownW(), referenceW: null, limitedBy: null });
      if ((ms - fromMs) % askEveryMs === 0) each?.(ms);
    }
  };
  const marks: MarkedSpot[] = [];
  const mark = (letter: string, spot: string, light: Light | null): void => {
    const measure = judge.measure(ms);
    if (measure !== null) marks.push({ id: marks.length + 1, letter, spot, measure, light, otherPanels: false });
  };
  live(walk.startMs + walk.firstMs, 'a');
  // Where nothing was measured yet there is no mark to be had: one waits.
  for (let waits = 0; waits < 60 && judge.measure(ms) === null; waits++) live(ms + 1000, 'a');
  mark('A', 'a', lightA);
  const firstW = display.shownW();
  live(ms + walk.carryMs, 'hands');
  const downMs = ms;
  const shareOf = ([a, b]: readonly [number, number]) => (2 * (b - a)) / (a + b);
  const truthOf = (at: number) => shareOf(source.truthW(at, true));
  const truth = shareOf(source.truthW(downMs + IN_TIME_MS / 2, false));
  const said = { inTime: 'none' as VerdictKind, inTimeTruth: 0, first: null as Judged['first'], wrongS: 0 };
  let [naiveW, naiveTruth, backTruth] = [firstW, 0, 0];
  let missBy: number | null = null;
  let truthNow = truth;
  const hear = (at: number): void => {
    const { verdict, sky: skyIs, here } = judge.look(marks, { spot: 'b', light: lightB }, at);
    const after = at - downMs;
    trace?.(`${after / 1000} s ${display.shownW()} W ${skyIs} ${here?.meanW.toFixed(1)} ${JSON.stringify(verdict)}`);
    if (after === SIMPLE_MS) [naiveW, naiveTruth] = [display.shownW(), truthOf(at)];
    // What is said of the way is not said of the spot.
    if (after < ON_THE_WAY_MS) return;
    if (after <= IN_TIME_MS && verdict.kind !== 'settling') said.inTime = verdict.kind;
    if (after === IN_TIME_MS) {
      said.inTimeTruth = truthOf(at);
      const [a, b] = source.truthW(at, true);
      if (verdict.differenceW !== null && here !== null)
        missBy = ((1 - a / b) * here.meanW - verdict.differenceW) / verdict.giveOrTakeW!;
    }
    if (verdict.kind !== 'better' && verdict.kind !== 'worse') return;
    // The truth wanders slowly beside what is said: looked up when that begins and now and then.
    if (said.first === null || after % TRUTH_EVERY_MS === 0) truthNow = truthOf(at);
    said.first ??= { kind: verdict.kind, afterMs: after, truth: truthNow };
    if (!isRight(verdict.kind, truthNow)) said.wrongS++;
  };
  live(downMs + SECOND_MS, 'b', hear);
  const naive = naiveW > firstW ? 'better' : naiveW < firstW ? 'worse' : 'same';
  const back = goesBack && said.first === null ? goBack() : null;
  return { walk, truth, ...said, naive, naiveTruth, missBy, back, backTruth };

  function goBack(): VerdictKind {
    mark('B', 'b', lightB);
    live(ms + walk.backMs, 'hands');
    let kind = 'none' as VerdictKind;
    live(ms + IN_TIME_MS, 'a', at => {
      kind = judge.look(marks, { spot: 'a', light: lightA }, at).verdict.kind;
    });
    backTruth = truthOf(ms);
    // Said of the first spot against the second: turned round.
    return kind === 'better' ? 'worse' : kind === 'worse' ? 'better' : kind;
  }
}

export const isRight = (kind: 'better' | 'worse', truth: number): boolean =>
  kind === 'better' ? truth > 0 : truth < 0;
