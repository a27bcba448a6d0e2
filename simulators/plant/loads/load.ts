/** What every load in the shed is: something on the AC or DC side that draws watts as time goes by. */
import type { CivilDay } from '../civil-days.ts';

/** What a load, and the beekeeper who switches it, can notice at one moment. */
export interface Moment {
  readonly ms: number;
  readonly dtS: number;
  readonly day: CivilDay;
  /** Minutes since the civil day began. */
  readonly minute: number;
  readonly airTempC: number;
  /** Sine of the sun's elevation. */
  readonly sunUp: number;
  /** What the station shows. */
  readonly shownPct: number;
  readonly acOn: boolean;
  readonly dcOn: boolean;
}

export type Plug = 'ac' | 'dc';

export interface Load {
  readonly name: string;
  readonly side: Plug;
  /** Watts drawn over the step; 0 without power. Called once a step, in order of time. */
  draw(moment: Moment): number;
}

/**
 * A choice the beekeeper makes once, when the occasion comes: `decide` is asked at the first moment of each occasion
 * and the answer holds until the next one.
 */
export function onceEach(decide: (moment: Moment) => boolean): (occasion: number, moment: Moment) => boolean {
  let current = Number.NaN;
  let answer = false;
  return (occasion, moment) => {
    if (occasion !== current) {
      current = occasion;
      answer = decide(moment);
    }
    return answer;
  };
}

/** All loads of a shed together, and what each draws now. */
export function togetherOf(loads: readonly Load[]) {
  const watts = loads.map(() => 0);
  return {
    draw(moment: Moment): { acW: number; dcW: number } {
      let acW = 0;
      let dcW = 0;
      for (let k = 0; k < loads.length; k++) {
        const w = loads[k]!.draw(moment);
        watts[k] = w;
        if (loads[k]!.side === 'ac') acW += w;
        else dcW += w;
      }
      return { acW, dcW };
    },
    drawing: (): Record<string, number> => Object.fromEntries(loads.map((load, k) => [load.name, watts[k]!])),
  };
}
