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
  let best: WallPlan | null = null;
  for (let start = 0; start <= steps; start++) {
    const found = cheapestFrom(moves, start, steps, stepWh, station);
    if (best === null || found.cost < best.cost - 1e-12) best = { ...found, startWh: start * stepWh };
  }
  return best!;
}

/** The cheapest way from a content back to it or above. Staying plugged in always is one. */
function cheapestFrom(moves: readonly HourMoves[], start: number, steps: number, stepWh: number, station: WallStation) {
  const width = steps + 1;
  const off = new Uint8Array(moves.length * width);
  let ahead = Float64Array.from({ length: width }, (_, e) => (e >= start ? 0 : Number.POSITIVE_INFINITY));
  for (let h = moves.length - 1; h >= 0; h--) {
    const now = new Float64Array(width);
    const move = moves[h]!;
    for (let e = 0; e <= steps; e++) {
      // As `step` says, written out: this runs some millions of times.
      const full = Math.min(steps, e + move.charge);
      const boughtWh = Math.max(0, (full - e) * stepWh - move.sunWh) / station.inWorth;
      const onCost = (move.perKWh * (move.passedWh + boughtWh)) / 1000 + ahead[full]!;
      const offCost =
        move.drain > e
          ? Number.POSITIVE_INFINITY
          : Math.max(0, move.drain) * stepWh * station.wearPerWh + ahead[Math.min(steps, e - move.drain)]!;
      // Of equal ones off: what the sun brought is used as soon as it can be.
      const isOff = offCost <= onCost && offCost < Number.POSITIVE_INFINITY;
      now[e] = isOff ? offCost : onCost;
      off[h * width + e] = isOff ? 1 : 0;
    }
    ahead = now;
  }
  const on: boolean[] = [];
  let content = start;
  for (const [h, move] of moves.entries()) {
    const isOn = off[h * width + content] === 0;
    on.push(isOn);
    content = step(move, content, isOn, steps, stepWh, station)!.to;
  }
  return { on, cost: ahead[start]! };
}
