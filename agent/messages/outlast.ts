/**
 * The answer to "will it last until I need it to": chances in twenty, what is plugged in, what leaving it off would add,
 * how much may be used and what could be added. Instants ISO 8601, powers W, energies Wh, spans minutes.
 */
import * as v from 'valibot';
import { LoadSettings } from './settings.ts';

const instant = v.pipe(v.string(), v.isoTimestamp());
const chances = v.pipe(v.number(), v.integer(), v.minValue(0), v.maxValue(20));
const sky = v.picklist(['good', 'middling', 'poor']);

/** Under a change: chances of reaching the target, and minutes more to the floor; null where it is then not reached. */
const Changed = v.object({ chances, addsMin: v.nullable(v.number()) });

export const WireLoad = v.object({
  kind: v.picklist(['steady', 'cycling', 'rare', 'sometimes', 'rest']),
  /** As the owner named it; null where unnamed. */
  name: v.nullable(v.string()),
  mustStayOn: v.boolean(),
  powerW: v.number(),
  meanW: v.number(),
  /** 0-1. */
  duty: v.number(),
  cycleMin: v.nullable(v.number()),
  on: v.boolean(),
  sinceAt: instant,
  lastAt: instant,
  /** Left off, and run half the time; null for what must stay on, and where nothing can be said. */
  without: v.nullable(Changed),
  half: v.nullable(Changed),
  /** It cycles, and has not drawn for this long: three of its cycles or more. null otherwise. */
  quietMin: v.nullable(v.number()),
});

const source = v.picklist(['generator', 'vehicle', 'wall']);

export const OutlastAnswer = v.object({
  station: v.string(),
  madeAt: instant,
  untilAt: instant,
  floorPct: v.number(),
  why: v.picklist(['ok', 'noStateOfCharge', 'noPower', 'noRatedWh', 'noHistory', 'stale', 'atFloor', 'atFull']),
  early: v.boolean(),
  onMains: v.boolean(),
  doubts: v.array(v.picklist(['gap', 'jump', 'newRegime', 'wide'])),
  stateOfChargePct: v.nullable(v.number()),
  /** null where nothing can be said, see `why`. */
  chances: v.nullable(chances),
  /** When the floor is reached, one a chance in twenty; null: not within what was looked at. Empty without chances. */
  dots: v.array(v.nullable(instant)),
  /** The outlets stop: middle, by the station's own cut-off. */
  stopsAt: v.nullable(instant),
  /** Where the courses that never reach the floor come nearest to it. */
  lowest: v.nullable(v.object({ pct: v.number(), at: instant })),
  /** What is likely to be used on average until then: one in ten below, the middle, one in ten above; null where nothing can be said. */
  likely: v.nullable(v.object({ lowW: v.number(), middleW: v.number(), highW: v.number() })),
  /** The sun is reckoned over the place told, or as on a usual day by the clock; null where none is reckoned with. */
  skyFrom: v.nullable(v.picklist(['place', 'usualDay'])),
  /** Minutes of load on record in the last day, which it rests on. */
  recordedMin: v.number(),
  loads: v.array(WireLoad),
  /** What the station draws for itself, with its standard deviation. */
  own: v.nullable(
    v.object({
      powerW: v.number(),
      sdW: v.number(),
      ticks: v.number(),
      /** It is told for the outlets as they are. */
      outletsOff: v.boolean(),
      /** With the AC outlets off, where that was learned; null where not. */
      offW: v.nullable(v.number()),
    }),
  ),
  /** What may be left off, added up, the largest first. */
  steps: v.array(v.object({ names: v.array(v.nullable(v.string())), powersW: v.array(v.number()), chances })),
  /** Greatest mean load that reaches the target in `chances` of twenty; null where even none does not. */
  budget: v.nullable(v.object({ chances, powerW: v.nullable(v.number()) })),
  /** How long each would have to bring its watts; null where that cannot be enough, 0 where nothing is needed. */
  added: v.array(v.object({ source, powerW: v.number(), assumed: v.boolean(), minutes: v.nullable(v.number()) })),
  days: v.array(
    v.object({
      date: v.string(),
      sky: v.nullable(sky),
      /** From the panels; null where no sun can be reckoned with. */
      sunWh: v.nullable(v.number()),
      /** Still above the floor at its end. */
      chances,
      endPct: v.number(),
    }),
  ),
  /** Tomorrow's sun in a good and in a poor case. `missing`: what it would need to be told. */
  tomorrow: v.object({
    missing: v.nullable(v.picklist(['place', 'panels'])),
    good: v.nullable(v.object({ sunWh: v.number(), chances })),
    poor: v.nullable(v.object({ sunWh: v.number(), chances })),
  }),
  /** With another station as one reserve. */
  together: v.nullable(
    v.object({
      station: v.string(),
      name: v.string(),
      here: chances,
      there: v.nullable(chances),
      both: v.nullable(chances),
      move: v.nullable(v.object({ name: v.nullable(v.string()), powerW: v.number(), both: chances })),
    }),
  ),
  score: v.object({ held: v.number(), of: v.number() }),
});

/** The owner's names and marks of one station, as a whole. */
export const LoadsChoice = v.strictObject({ load: v.pipe(v.array(LoadSettings), v.maxLength(40)) });

export type WireLoad = v.InferOutput<typeof WireLoad>;
export type OutlastAnswer = v.InferOutput<typeof OutlastAnswer>;
export type LoadsChoice = v.InferOutput<typeof LoadsChoice>;
