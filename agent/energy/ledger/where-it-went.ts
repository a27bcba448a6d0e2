/**
 * Where a day's clear-sky energy went that did not come in, minute by minute and cause by cause, in the order in which
 * light goes through: the sky, what stands before the panels, the port, the battery. Energies Wh, powers W.
 *
 * Cloud is told from `other` by the station's own level: what its panels give for each watt of the model while the sky is
 * clear (`own-level.ts`). The model's watts times that level are what a clear sky would have brought; what came less in a
 * minute that was neither shaded nor held back is cloud, and the level's distance from one is `other`: warmth, dirt, how
 * the panels were set, the model itself. Where light is measured on their plane, it says what the clouds took instead.
 *
 * In a shaded or held-back minute nobody sees the sky. It is then taken to have been as in the open minutes before and
 * after, those nearest counting most, and as in the day or in the weeks around where there are none; never darker than
 * what came in. So battery, port and shade only ever take what the sky had left.
 */
import { AT_PORT, type DayMinutes, type DaySums, FREE, FULL } from './day-minutes.ts';
import { skyBetween } from './sky-between.ts';

/** Keys as they travel. */
export interface WhereItWent {
  cloudWh: number;
  shadeWh: number;
  fullWh: number;
  portLimitWh: number;
  notOutWh: number;
  notRecordedWh: number;
  aheadWh: number;
  otherWh: number;
}

const MILLI = 1000;
/** Less is no energy that could be spread over minutes. */
const LEAST_WATT_MIN = 1e-6;
const toMilli = (wattMinutes: number): number => Math.round((wattMinutes / 60) * MILLI);

/** @returns causes in whole mWh, which together with the harvest are the clear-sky energy rounded to mWh */
export function whereItWent(day: DayMinutes, sums: DaySums): WhereItWent {
  const { clearW, sunW, away, passed } = day;
  const scale = scaleOf(day, sums);
  const lost = { cloud: 0, shade: 0, full: 0, port: 0, notOut: 0, notRecorded: 0, ahead: 0 };
  const sky = skyBetween(day, sums);
  let allW = 0;
  for (let m = 0; m < clearW.length; m++) {
    const clear = clearW[m]!;
    allW += clear;
    if (m >= passed) {
      lost.ahead += clear;
      continue;
    }
    const watts = sunW[m]!;
    const recorded = Number.isNaN(watts) ? 0 : sums.covered;
    const came = Number.isNaN(watts) ? 0 : watts * scale;
    if (away[m] === 1) {
      lost.notOut += clear - came;
      continue;
    }
    lost.notRecorded += clear * (1 - recorded);
    if (recorded === 0 || clear <= 0) continue;
    split(day, m, came, recorded, sky[m]!, sums.level, lost);
  }
  // What the model or the level falls short of is no negative cloud: it is left over, and so `other`.
  const named = {
    cloudWh: toMilli(Math.max(0, lost.cloud)),
    shadeWh: toMilli(lost.shade),
    fullWh: toMilli(lost.full),
    portLimitWh: toMilli(lost.port),
    notOutWh: toMilli(Math.max(0, lost.notOut)),
    notRecordedWh: toMilli(lost.notRecorded),
    aheadWh: toMilli(lost.ahead),
  };
  const sum = Object.values(named).reduce((a, b) => a + b, 0);
  const otherWh = toMilli(allW) - Math.round(sums.harvestWh * MILLI) - sum;
  return Object.fromEntries(
    Object.entries({ ...named, otherWh }).map(([key, milli]) => [key, milli / MILLI]),
  ) as unknown as WhereItWent;
}

/** So that the minutes' watts add up to the day's energy. */
function scaleOf({ sunW, passed }: DayMinutes, { harvestWh }: DaySums): number {
  let sum = 0;
  for (let m = 0; m < passed; m++) if (sunW[m]! > 0) sum += sunW[m]!;
  return sum > LEAST_WATT_MIN ? (harvestWh * 60) / sum : 0;
}

interface Lost {
  cloud: number;
  shade: number;
  full: number;
  port: number;
}

/** One recorded minute: what each in turn left of the light. */
function split(day: DayMinutes, m: number, came: number, recorded: number, sky: number, level: number, lost: Lost) {
  const clear = day.clearW[m]! * recorded * level;
  const through = day.through === null ? 1 : day.through[m]!;
  const held = day.held[m]!;
  if (held === FREE && through === 1 && day.lightShare === null) {
    lost.cloud += clear - came;
    return;
  }
  // Nothing held back takes more than there was.
  const open = held === FREE && through === 1 ? clear * sky : Math.max(clear * sky, came);
  const behind = through === 1 ? open : Math.max(came, open * through);
  lost.shade += open - behind;
  if (held === FULL) lost.full += behind - came;
  if (held === AT_PORT) lost.port += behind - came;
  // OTHERWISE: what no cause takes is left over, and so `other`.
  // What is missing behind a shade that nothing else explains is cloud; beside a measured light it is not.
  lost.cloud += held === FREE && through < 1 ? clear - open + (behind - came) : clear - open;
}
