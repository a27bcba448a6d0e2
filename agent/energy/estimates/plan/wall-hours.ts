/**
 * In which hours to be plugged into the wall, where the price goes by the hour: every hour is on or off, by hand or timer.
 * On: the outlets pass the wall through and the battery charges at its pace until it is full. Off: the battery carries the
 * load and never goes below what is kept. The cheapest such week that can be repeated, by dynamic programming over the
 * battery's content in equal steps, taking out rounded up and charging down: exact on those steps, careful besides.
 */

/** Hour by hour, from any hour on that the last one leads back to. */
export interface WallHours {
  perKWh: readonly number[];
  loadW: readonly number[];
  sunW: readonly number[];
}

export interface WallStation {
  /** Between what is kept for an outage and the ceiling, Wh of the label. */
  usableWh: number;
  /** From the wall into the battery while plugged in, W. */
  wallW: number;
  outCost: number;
  ownW: number;
  inWorth: number;
  /** What a watt-hour of the label taken out costs in wear, in the prices' currency; 0 where not known. */
  wearPerWh: number;
}

export interface WallPlan {
  on: boolean[];
  /** Above what is kept when it begins, Wh of the label. */
  startWh: number;
  cost: number;
}

export const STEPS = 120;
/** Costs nearer than this are one. */
const TIE = 1e-12;

/** One hour as the battery sees it, in steps: what off takes or gives, what on adds, what each costs. */
export interface HourMoves {
  /** Steps taken out while off; negative: the sun adds. */
  drain: number;
  charge: number;
  /** Wh of the label that the sun brings. */
  sunWh: number;
  passedWh: number;
  perKWh: number;
}

export function hourMoves(hours: WallHours, station: WallStation, stepWh: number): HourMoves[] {
  const { wallW, outCost, ownW, inWorth } = station;
  return hours.perKWh.map((perKWh, h) => {
    const sunWh = inWorth * hours.sunW[h]!;
    const takenWh = outCost * hours.loadW[h]! + ownW - sunWh;
    return {
      drain: takenWh > 0 ? Math.ceil(takenWh / stepWh - 1e-9) : -Math.floor(-takenWh / stepWh + 1e-9),
      charge: Math.floor((inWorth * wallW + sunWh) / stepWh + 1e-9),
      sunWh,
      passedWh: hours.loadW[h]! + ownW,
      perKWh,
    };
  });
}

/** Where one hour leads from a content, and what it costs; null: not allowed. */
export function step(
  move: HourMoves,
  content: number,
  on: boolean,
  steps: number,
  stepWh: number,
  { inWorth, wearPerWh }: Pick<WallStation, 'inWorth' | 'wearPerWh'>,
): { to: number; cost: number } | null {
  if (!on) {
    if (move.drain > content) return null;
    return { to: Math.min(steps, content - move.drain), cost: Math.max(0, move.drain) * stepWh * wearPerWh };
  }
  const to = Math.min(steps, content + move.charge);
  const boughtWh = Math.max(0, (to - content) * stepWh - move.sunWh) / inWorth;
  return { to, cost: (move.perKWh * (move.passedWh + boughtWh)) / 1000 };
}

/** @param steps the battery's content is told in so many */
export function bestWallHours(hours: WallHours, station: WallStation, steps = STEPS): WallPlan {
  const stepWh = station.usableWh / steps;
  const moves = hourMoves(hours, station, stepWh);
  const ways = waysOf(moves, steps, stepWh, station);
  const bounds = boundsOf(ways, hours, station, steps, stepWh);
  let best = 0;
  let cost = Number.POSITIVE_INFINITY;
  // Those that may be cheapest first: as soon as none can be any more, the rest need not be asked.
  for (const start of Array.from(bounds.keys()).sort((a, b) => bounds[a]! - bounds[b]!)) {
    if (bounds[start]! >= cost - TIE) break;
    const found = cheapestFrom(ways, start, steps, null);
    if (found < cost - TIE) [best, cost] = [start, found];
  }
  const off = new Uint8Array(moves.length * (steps + 1));
  cheapestFrom(ways, best, steps, off);
  const on: boolean[] = [];
  let content = best;
  for (const [h, move] of moves.entries()) {
    const isOn = off[h * (steps + 1) + content] === 0;
    on.push(isOn);
    content = step(move, content, isOn, steps, stepWh, station)!.to;
  }
  return { on, startWh: best * stepWh, cost };
}

/** `step` of every hour from every content, looked up: it is asked some millions of times. Not allowed: infinite cost. */
interface Ways {
  hours: number;
  onTo: Int16Array;
  onCost: Float64Array;
  offTo: Int16Array;
  offCost: Float64Array;
}

function waysOf(moves: readonly HourMoves[], steps: number, stepWh: number, station: WallStation): Ways {
  const size = moves.length * (steps + 1);
  const ways: Ways = {
    hours: moves.length,
    onTo: new Int16Array(size),
    onCost: new Float64Array(size),
    offTo: new Int16Array(size),
    offCost: new Float64Array(size),
  };
  for (const [h, move] of moves.entries())
    for (let e = 0; e <= steps; e++) {
      const at = h * (steps + 1) + e;
      const on = step(move, e, true, steps, stepWh, station)!;
      const off = step(move, e, false, steps, stepWh, station);
      ways.onTo[at] = on.to;
      ways.onCost[at] = on.cost;
      ways.offTo[at] = off?.to ?? 0;
      ways.offCost[at] = off?.cost ?? Number.POSITIVE_INFINITY;
    }
  return ways;
}

/** What the cheapest way from a content back to it or above costs. Staying plugged in always is one. */
function cheapestFrom(ways: Ways, start: number, steps: number, isOff: Uint8Array | null): number {
  const end = new Float64Array(steps + 1).fill(Number.POSITIVE_INFINITY, 0, start);
  return backwards(ways, end, steps, isOff)[start]!;
}

/**
 * What no way from each content back to it or above can fall below: what is left at the end beyond the start is bought back
 * at a price, which such a way only gains by. One pass for all contents; of some prices the highest bound holds.
 */
function boundsOf(
  ways: Ways,
  { perKWh }: WallHours,
  station: WallStation,
  steps: number,
  stepWh: number,
): Float64Array {
  const perStep = (price: number) => (price * stepWh) / station.inWorth / 1000;
  const mean = perKWh.reduce((sum, price) => sum + price, 0) / perKWh.length;
  const bounds = new Float64Array(steps + 1).fill(Number.NEGATIVE_INFINITY);
  for (const price of [0, Math.min(...perKWh), mean, Math.max(...perKWh)].map(perStep)) {
    const end = Float64Array.from({ length: steps + 1 }, (_, e) => -price * e);
    const found = backwards(ways, end, steps, null);
    for (let e = 0; e <= steps; e++) bounds[e] = Math.max(bounds[e]!, found[e]! + price * e);
  }
  return bounds;
}

/**
 * What the rest costs at best, from each content at the beginning.
 *
 * @param end what each content is worth at the end; taken over
 * @param isOff takes 1 where off is best, by hour and content
 */
function backwards(
  { hours, onTo, onCost, offTo, offCost }: Ways,
  end: Float64Array,
  steps: number,
  isOff: Uint8Array | null,
): Float64Array {
  const width = steps + 1;
  let ahead: Float64Array = end;
  let now: Float64Array = new Float64Array(width);
  for (let h = hours - 1; h >= 0; h--) {
    for (let e = 0; e <= steps; e++) {
      const at = h * width + e;
      const on = onCost[at]! + ahead[onTo[at]!]!;
      const off = offCost[at]! + ahead[offTo[at]!]!;
      // Of equal ones off: what the sun brought is used as soon as it can be.
      const better = off <= on && off < Number.POSITIVE_INFINITY;
      now[e] = better ? off : on;
      if (isOff !== null) isOff[at] = better ? 1 : 0;
    }
    [ahead, now] = [now, ahead];
  }
  return ahead;
}
