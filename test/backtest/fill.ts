/**
 * Time to full over simulated charges: on stations never seen charging, and on the same after four full charges. Asked
 * where 75, 50 and 25 % of the time are left.
 */
import { createChance } from '#energy/estimates/chance';
import { createRuntimeEngine } from '#energy/estimates/runtime/engine';
import { medianOf, shareOf } from '#energy/estimates/scoring/median';
import { absShareError } from '#energy/estimates/scoring/point-error';
import { holds } from '#energy/estimates/scoring/range-error';
import { createReplay } from '#energy/estimates/scoring/replay';
import { type Charge, chargeOnce, drawCharger } from './charges.ts';
import { factsOf } from './live-through.ts';

const SHARES = [0.75, 0.5, 0.25] as const;
const EARLIER = 4;
const DAY_MS = 86_400_000;
const MINUTE_MS = 60_000;

export interface Filled {
  /** Median error, %, one a share of `SHARES`; silence left out. */
  errorPct: (number | null)[];
  coverage: (number | null)[];
  silent: number | null;
}

interface Asked {
  errorPct: number;
  held: boolean;
}

export function fillTimes(charges: number): { unknown: Filled; learned: Filled } {
  const unknown: (Asked | null)[][] = SHARES.map(() => []);
  const learned: (Asked | null)[][] = SHARES.map(() => []);
  for (let seed = 1; seed <= charges; seed++) {
    const charger = drawCharger(createChance(seed));
    const engine = createRuntimeEngine(charger.ratedWh);
    const replay = createReplay(engine, factsOf(charger.ratedWh, null), seed);
    for (let session = 0; session <= EARLIER; session++) {
      const charge = chargeOnce(charger, 1000 * seed + session, 3 * DAY_MS * (session + 1));
      const into = session === 0 ? unknown : session === EARLIER ? learned : null;
      liveThrough(charge, replay, into);
    }
  }
  return { unknown: together(unknown), learned: together(learned) };
}

function liveThrough(charge: Charge, replay: ReturnType<typeof createReplay>, into: (Asked | null)[][] | null): void {
  const asks = SHARES.map(share => charge.fullAt - share * (charge.fullAt - charge.startAt));
  let next = 0;
  for (const row of charge.rows) {
    for (; into !== null && next < asks.length && row.at >= asks[next]!; next++) {
      const { full } = replay.tell(asks[next]!);
      const trueMin = (charge.fullAt - asks[next]!) / MINUTE_MS;
      into[next]!.push(
        full === null ? null : { errorPct: 100 * absShareError(full.p50, trueMin), held: holds(full, trueMin) },
      );
    }
    replay.add(row);
  }
}

function together(asked: (Asked | null)[][]): Filled {
  const said = asked.map(of => of.filter(a => a !== null));
  return {
    errorPct: said.map(of => medianOf(of.map(a => a.errorPct))),
    coverage: said.map(of => shareOf(of.map(a => a.held))),
    silent: shareOf(asked.flat().map(a => a === null)),
  };
}
