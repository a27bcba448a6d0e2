/**
 * A load that switches itself and has not drawn for three of its cycles: the outlets may have switched off, or it was
 * unplugged. Only the record tells: what was not recorded is not quiet. What cycles now and then, such as a heater that
 * is used of an evening, is quiet by nature: unless the owner marked it, it must have cycled for most of a day and never
 * rested half as long. What he marked is usual at hours at which it rested on earlier days too. Own judgement throughout.
 */
import { indexAt, type Past } from '../runtime/minutes.ts';
import { median, type PluggedIn } from './plugged-in.ts';

const CYCLES = 3;
/** What cools by night rests longer than by day: a cycle is one of its longer ones, so many of them being shorter. */
const LONG_CYCLE = 0.75;
const LONG_STARTS = 10;
const LONG_MIN = 12 * 60;
/** Than its longest rest: a tool of two afternoons may have a day off. */
const LONGER = 2;
/** Share of the quiet time that must have been recorded. */
const RECORDED = 0.8;
const DAY_MIN = 1440;
const EARLIER_DAYS = 7;
/** Once is an incident, twice is how he has it. */
const USUAL_DAYS = 2;
/** Of what it draws, in watts and in time; less is the flicker of the rest. */
const DREW = 0.5;

export interface GoneQuiet {
  load: PluggedIn;
  /** Minutes since it last drew. */
  quietMin: number;
  /** It rested in these hours on earlier days too, as where outlets are off at night: no news. */
  usual: boolean;
}

/**
 * @param nowMinute minutes since the epoch
 * @param mustStayOn what the owner marked so
 */
export const goneQuiet = (
  loads: readonly PluggedIn[],
  past: Past,
  nowMinute: number,
  mustStayOn: (load: PluggedIn) => boolean,
): GoneQuiet[] =>
  loads.flatMap(load => {
    if (load.kind !== 'cycling' || load.on || load.cycleMin === null) return [];
    const quietMin = nowMinute - load.lastMinute;
    const recorded = past.count - indexAt(past, load.lastMinute + 1);
    if (quietMin <= CYCLES * load.cycleMin || recorded < RECORDED * (quietMin - 1)) return [];
    const { longCycleMin, longestRestMin } = rhythmOf(load, past);
    const cycleMin = Math.max(load.cycleMin, longCycleMin);
    if (quietMin <= CYCLES * cycleMin) return [];
    if (!mustStayOn(load) && !(cycledForLong(load) && recorded > LONGER * longestRestMin)) return [];
    return [{ load, quietMin, usual: isUsual(load, cycleMin, past, nowMinute) }];
  });

const cycledForLong = ({ starts, firstMinute, lastMinute }: PluggedIn): boolean =>
  starts >= LONG_STARTS && lastMinute - firstMinute >= LONG_MIN;

/** How it cycled until now, minutes. What was not recorded may have been a rest, and is no cycle. */
function rhythmOf({ drawnW, drawnFrom }: PluggedIn, { minutes }: Past) {
  const cycles: number[] = [];
  let longestRestMin = 0;
  let startedAt: number | null = null;
  let drew: number | null = null;
  for (const [i, powerW] of drawnW.entries()) {
    if (powerW <= 0 || drew === i - 1) {
      if (powerW > 0) drew = i;
      continue;
    }
    if (drew !== null)
      longestRestMin = Math.max(longestRestMin, minutes[drawnFrom + i]! - minutes[drawnFrom + drew]! - 1);
    if (startedAt !== null) cycles.push(i - startedAt);
    startedAt = i;
    drew = i;
  }
  const sorted = cycles.sort((a, b) => a - b);
  return { longCycleMin: sorted[Math.floor(LONG_CYCLE * (sorted.length - 1))] ?? 0, longestRestMin };
}

/**
 * Told from the whole load, which is known for longer than its parts: in no cycle's time of these hours did so much go
 * out as with it. A cycle at either end is left out, since nobody switches to the minute.
 */
function isUsual(load: PluggedIn, cycleMin: number, past: Past, nowMinute: number): boolean {
  const { runMin, lastMinute } = load;
  if (runMin === null) return false;
  const [fromMinute, toMinute] = [lastMinute + cycleMin, nowMinute - cycleMin];
  const restW = median([...past.outputW.subarray(indexAt(past, lastMinute + 1), past.count)]);
  let days = 0;
  for (let day = 1; day <= EARLIER_DAYS; day++) {
    const indexOf = (minute: number) => indexAt(past, minute - day * DAY_MIN);
    const whole = past.outputW.subarray(indexOf(fromMinute), indexOf(toMinute));
    if (whole.length === 0 || whole.length < RECORDED * (toMinute - fromMinute)) continue;
    // What else is on today says nothing of that day.
    const baseW = Math.min(restW, ...whole);
    let drew = false;
    for (let minute = fromMinute; minute < toMinute && !drew; minute += cycleMin) {
      const from = Math.min(minute, toMinute - cycleMin);
      drew = holds(past.outputW.subarray(indexOf(from), indexOf(from + cycleMin)), load, runMin / cycleMin, baseW);
    }
    if (!drew) days++;
  }
  return days >= USUAL_DAYS;
}

/** Whether the load may be in these minutes. @param duty 0-1 */
function holds(watts: Float64Array, { powerW }: PluggedIn, duty: number, baseW: number): boolean {
  const high = watts.filter(w => w - baseW >= DREW * powerW).length;
  if (high >= DREW * duty * watts.length) return true;
  // In means of a quarter-hour a short run is no height any more, but still the same energy.
  const equal = watts.filter((w, i) => i > 0 && w === watts[i - 1]).length;
  const meanW = watts.reduce((sum, w) => sum + w, 0) / Math.max(1, watts.length);
  return 2 * equal > watts.length && meanW - baseW >= DREW * duty * powerW;
}
