/** What Plan rests on of a station's engine: the gauge, the losses, and what was seen plugged in. Powers W, instants epoch ms. */
import { namesFor } from '#energy/estimates/plugged-in/named-loads';
import { pluggedIn } from '#energy/estimates/plugged-in/plugged-in';
import type { PlanAnswer } from '#messages';
import type { OutlastSeat } from '../outlast.ts';

const MINUTE_MS = 60_000;
/** Fewer percents than this have taught nothing yet. */
const LEARNED_TICKS = 3;
/** What draws less on average is not worth a line of its own, W. */
const LEAST_MEAN_W = 1;
const MOST_SEEN = 12;

export interface PlanKnown extends Pick<PlanAnswer, 'seen' | 'full' | 'now'> {
  readonly losses: Pick<PlanAnswer['losses'], 'mean' | 'covariance' | 'ticks'>;
}

export function planKnown(seat: OutlastSeat, at: number): PlanKnown {
  const { floorPct, ceilingPct } = seat.facts;
  const { gauge } = seat.outlook.engine();
  const { mean, covariance, ticks } = gauge.belief();
  const place = gauge.place();
  const usable = (fromPct: number): PlanAnswer['full'] => {
    const { mapPct, addedPct, covariance: spread } = gauge.between(fromPct, floorPct);
    return { fromPct, toPct: floorPct, labelPct: mapPct + addedPct, sdPct: Math.sqrt(Math.max(0, spread[3])) };
  };
  return {
    seen: seenLoads(seat, at),
    full: usable(Math.max(ceilingPct, floorPct)),
    now: place === null || place.pct < floorPct ? null : usable(place.pct),
    losses: { mean, covariance, ticks: ticks >= LEARNED_TICKS ? ticks : 0 },
  };
}

function seenLoads({ outlook, facts }: OutlastSeat, at: number): PlanAnswer['seen'] {
  const { minutes, outputW, solarW, count } = outlook.engine().past();
  const past = {
    minutes: minutes.slice(0, count),
    outputW: outputW.slice(0, count),
    solarW: solarW.slice(0, count),
    count,
  };
  const loads = pluggedIn(past, Math.floor(at / MINUTE_MS)).filter(load => load.meanW >= LEAST_MEAN_W);
  const names = namesFor(loads, facts.named ?? []);
  return loads.slice(0, MOST_SEEN).map(({ powerW, duty }, i) => ({
    name: names[i]?.name ?? null,
    powerW,
    duty,
    mustStayOn: names[i]?.mustStayOn ?? false,
  }));
}
