/**
 * What came true in a recording: the stretches that ended at the floor, and those that ended full. A discharge begins
 * with the first state of charge or when the wall goes, and ends when the floor is shown; sun in between belongs to it.
 * A charge begins when more comes in than goes out, and ends at the ceiling.
 */

const MINUTE_MS = 60_000;
/** Beyond this between two rows nobody knows when it happened. */
const UNKNOWN_MS = 15 * MINUTE_MS;
/** A charge goes on through a shorter pause. */
const PAUSE_MS = 30 * MINUTE_MS;
/** Net watts from which it charges. */
const CHARGES_W = 5;
/** So far above the floor a new discharge has begun, percent: a shown percent flickers. */
const REARM_PCT = 5;

export interface Stretch {
  startAt: number;
  /** First instant at which the floor, or the ceiling, was shown. */
  endAt: number;
}

export interface PassageRow {
  at: number;
  stateOfChargePct: number | null;
  outputW: number | null;
  inputW: number | null;
  /** Fed by the wall, a vehicle or a generator: no discharge. */
  held: boolean;
}

export interface Passages {
  /** Rows in order of time. */
  add(row: PassageRow): void;
  discharges(): readonly Stretch[];
  charges(): readonly Stretch[];
}

export function createPassages(floorPct: number, ceilingPct: number): Passages {
  const discharges: Stretch[] = [];
  const charges: Stretch[] = [];
  let dischargeFrom: number | null = null;
  let chargeFrom: number | null = null;
  let chargedAt = 0;
  let lastAt: number | null = null;
  let armed = true;

  const seeDischarge = (at: number, pct: number, held: boolean) => {
    if (pct >= floorPct + REARM_PCT) armed = true;
    if (held) dischargeFrom = null;
    else if (pct > floorPct) {
      if (armed) dischargeFrom ??= at;
    } else {
      if (dischargeFrom !== null) discharges.push({ startAt: dischargeFrom, endAt: at });
      dischargeFrom = null;
      armed = false;
    }
  };
  const seeCharge = (at: number, pct: number, netInW: number) => {
    if (chargeFrom !== null && pct >= ceilingPct) {
      charges.push({ startAt: chargeFrom, endAt: at });
      chargeFrom = null;
    } else if (netInW >= CHARGES_W && pct < ceilingPct) {
      chargeFrom ??= at;
      chargedAt = at;
    } else if (at - chargedAt > PAUSE_MS) chargeFrom = null;
  };
  return {
    add({ at, stateOfChargePct: pct, outputW, inputW, held }) {
      if (pct === null) return;
      if (lastAt !== null && at - lastAt > UNKNOWN_MS) dischargeFrom = chargeFrom = null;
      lastAt = at;
      seeDischarge(at, pct, held);
      seeCharge(at, pct, (inputW ?? 0) - (outputW ?? 0));
    },
    discharges: () => discharges,
    charges: () => charges,
  };
}
