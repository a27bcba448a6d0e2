/**
 * What agent and page say about aiming: marks and their judgement (live, for who asks), spots with their sun and shade,
 * where to point, and why so few watts. Powers W, energies Wh, angles degrees (azimuth clockwise from true north, tilt 0
 * flat), instants ISO 8601. `giveOrTakeW` is half the width of a range that is right 19 times in 20.
 * Under /api/stations/ID: GET aim → AimAnswer · POST marks (MarkChoice) → MarkAnswer · PUT marks (MarkChange) → DoneAnswer ·
 * POST spots (SpotChange) → DoneAnswer.
 */
import * as v from 'valibot';

const instant = v.pipe(v.string(), v.isoTimestamp());
const maybe = <T extends v.GenericSchema>(schema: T) => v.nullable(schema);
const count = v.pipe(v.number(), v.integer(), v.minValue(0));
const id = v.pipe(v.string(), v.regex(/^[a-z0-9][a-z0-9-]{0,39}$/));
const name = v.pipe(v.string(), v.trim(), v.minLength(1), v.maxLength(40));
const note = v.pipe(v.string(), v.trim(), v.maxLength(400));
const tiltDeg = v.pipe(v.number(), v.minValue(0), v.maxValue(90));
const azimuthDeg = v.pipe(v.number(), v.minValue(0), v.maxValue(360));
const Plane = v.object({ tiltDeg: v.number(), azimuthDeg: v.number() });
const Watts = v.object({ meanW: v.number(), giveOrTakeW: v.number() });

/** What takes less than the panels could give. */
const limit = v.picklist(['full', 'taper', 'port', 'cold', 'owner', 'load']);

/** One spot, measured at one moment. */
export const WireMark = v.object({
  /** Counts up for a station, never used again. */
  id: count,
  /** A, B, … Z, AA within one walk. */
  letter: v.string(),
  at: instant,
  /** The named spot it was made at; null where unnamed. */
  spot: maybe(id),
  name: maybe(v.string()),
  /** Letter of the earlier mark it was made at once more. */
  again: v.optional(v.string()),
  note: v.string(),
  measured: Watts,
  /** What it would give at this moment, the sun's own motion taken out; null where it cannot be held against now. */
  now: maybe(Watts),
  /** Why it is not ranked; `ok` where it is. */
  why: v.picklist(['ok', 'limited', 'unsteady', 'short', 'old', 'dark', 'otherPanels']),
});

/** What can be said about here and the marks. Only `better` and `worse` rank anything. */
export const WireVerdict = v.object({
  kind: v.picklist([
    /** Nothing to hold against yet. */
    'none',
    /** No sun. */
    'dark',
    /** The station's tracker has not settled since the panels were moved. */
    'settling',
    /** Not yet long enough to tell. */
    'holding',
    /** Clouds: hold still. */
    'clouds',
    /** The sky went on changing: go back to `than` and mark it again (A-B-A). */
    'goBack',
    /** Panels that were just turned still warm; the first watts flatter. */
    'warming',
    /** The station takes less than the panels could give: nothing can be ranked. */
    'limited',
    'better',
    'worse',
    /** No difference that could be told from chance. */
    'same',
  ]),
  /** The mark stood at, or null where the panels stand somewhere unmarked. */
  here: maybe(v.string()),
  /** Letter of the mark it is held against. */
  than: maybe(v.string()),
  /** Here less `than`, both as of now. */
  differenceW: maybe(v.number()),
  giveOrTakeW: maybe(v.number()),
  /** What the sun's own motion explains of the raw difference. */
  sunExplainsW: maybe(v.number()),
  /** Hold still for about this long still; null where not known. */
  holdMs: maybe(v.number()),
  limitedBy: maybe(limit),
});

/** Live, about once a second, to clients that asked for it. */
export const WireAim = v.object({
  station: v.string(),
  at: instant,
  /** The quantity the figure shows; null: the station tells no input that could be the sun's. */
  quantity: maybe(v.picklist(['solarPowerW', 'inputPowerW'])),
  sky: v.picklist(['steady', 'unsteady', 'unknown']),
  /** The plateau the panels are on since they were last moved; null while it is not one. */
  here: maybe(v.object({ ...Watts.entries, sinceAt: instant })),
  /** What stands still and tells what the sky did meanwhile: `port` for another port of its own, or a station's name. */
  reference: maybe(v.string()),
  /** This walk's marks, the best first, those that cannot be ranked last. */
  marks: v.array(WireMark),
  verdict: WireVerdict,
});

const cause = v.picklist([
  'full',
  'taper',
  'port',
  'owner',
  'cold',
  'load',
  'stringMissing',
  'panelShaded',
  'lowVoltage',
  'heat',
  'dirt',
  'lead',
  'cloud',
]);

export const WirePointing = v.object({
  sun: v.object({ elevationDeg: v.number(), azimuthDeg: v.number() }),
  sunriseAt: maybe(instant),
  sunsetAt: maybe(instant),
  /** The next one after now; null where none comes within two days. */
  nextSunriseAt: maybe(instant),
  /** null while there is no light. */
  bestNow: maybe(Plane),
  /** What all panels are rated; null where none is told: energies are then of each 100 W. */
  panelsW: maybe(v.number()),
  /** What is left of the civil day, W of these panels under a clear sky; null where nothing is left. */
  restOfDay: maybe(
    v.object({
      best: Plane,
      bestWh: v.number(),
      flatWh: v.number(),
      /** Aimed at the sun as it stands now, and left; null while it is down. */
      leftAtSunWh: maybe(v.number()),
      /** As they stand; null where that is not known. */
      standingWh: maybe(v.number()),
      /** Turning them once more at a stated hour, against leaving them the best way; best first, at most three. */
      turnings: v.array(v.object({ until: Plane, at: instant, to: Plane, gainWh: v.number() })),
    }),
  ),
  /** An upright peg of one metre on level ground; null while the sun is too low. */
  shadow: maybe(v.object({ lengthM: v.number(), towardDeg: v.number() })),
  /** Watts to be expected now under a clear sky, as the panels stand; null where place or panels are not known. */
  expected: maybe(
    v.object({
      lowW: v.number(),
      middleW: v.number(),
      highW: v.number(),
      /** Where the width comes from, widest first: % either way, 19 times in 20. */
      spreads: v.array(v.object({ of: v.picklist(['air', 'warmth', 'label', 'dirt', 'plane']), pct: v.number() })),
    }),
  ),
  /** Set while less comes in than expected, likeliest first. */
  causes: v.array(v.object({ cause, likely: v.boolean(), /** What it would explain. */ explainsW: maybe(v.number()) })),
});

export const WireSpot = v.object({
  id,
  name: v.string(),
  note: v.string(),
  tiltDeg: maybe(v.number()),
  azimuthDeg: maybe(v.number()),
  /** The panels stand there now. */
  standing: v.boolean(),
  /** Since when, or when they last did; null: never. */
  sinceAt: maybe(instant),
  /** Clear days seen there, and minutes of them that taught something. */
  clearDays: count,
  evidenceMin: count,
  /** Today by the clock, sunrise to sunset, as far as seen; null before there is evidence. */
  strip: maybe(v.array(v.object({ fromAt: instant, toAt: instant, is: v.picklist(['sun', 'shade', 'unknown']) }))),
  /** The next change that is foretold, and what comes then. */
  next: maybe(v.object({ at: instant, is: v.picklist(['sun', 'shade']), giveOrTakeMin: count })),
  /** Height of what stands there by azimuth, in directions with evidence; below `sunFromDeg` nothing was seen in the sun. */
  skyline: maybe(
    v.array(
      v.object({
        azimuthDeg: v.number(),
        /** The edge, null where none was found. */
        edgeDeg: maybe(v.number()),
        /** Lowest elevation seen in the sun, and highest seen in shade. */
        sunFromDeg: maybe(v.number()),
        shadeToDeg: maybe(v.number()),
        minutes: count,
      }),
    ),
  ),
});

export const AimAnswer = v.object({
  station: v.string(),
  /** null without a place. */
  pointing: maybe(WirePointing),
  spots: v.array(WireSpot),
  /** The sun's way today, sunrise to sunset, elevations as seen; null without a place, or where it does not rise. */
  track: maybe(v.array(v.object({ at: instant, azimuthDeg: v.number(), elevationDeg: v.number() }))),
  /** The day's best round of the known spots from now on; null where one spot does as well. */
  plan: maybe(
    v.object({
      steps: v.array(v.object({ spot: id, name: v.string(), fromAt: instant })),
      gainWh: v.number(),
      /** Against staying at this spot all day. */
      against: v.string(),
    }),
  ),
  /** Simulated panels can be carried from here to any spot. */
  carries: v.boolean(),
});

/** Marks the spot the panels stand at. */
export const MarkChoice = v.strictObject({
  note: v.optional(note),
  /** Id of a mark of this walk: the panels are back where it was made (A-B-A). */
  again: v.optional(count),
});
export const MarkAnswer = v.object({ mark: maybe(WireMark), why: WireMark.entries.why });
/** `undo` takes the last mark back; `walk` begins a new one: earlier marks stay in the record, unranked. */
export const MarkChange = v.variant('do', [
  v.strictObject({ do: v.literal('undo') }),
  v.strictObject({ do: v.literal('walk') }),
  /** A name makes the mark's spot a named one, or ties it to the spot of that name. */
  v.strictObject({ do: v.literal('name'), mark: count, name }),
  v.strictObject({ do: v.literal('note'), mark: count, note }),
]);
/** Spots: where they are kept, how panels stand there, and where they stand now. */
export const SpotChange = v.variant('do', [
  v.strictObject({ do: v.literal('add'), name }),
  v.strictObject({
    do: v.literal('change'),
    spot: id,
    name: v.optional(name),
    note: v.optional(note),
    tiltDeg: v.optional(maybe(tiltDeg)),
    azimuthDeg: v.optional(maybe(azimuthDeg)),
  }),
  /** The panels stand there from now on; null: somewhere unnamed, which teaches nothing. */
  v.strictObject({ do: v.literal('stand'), spot: maybe(id) }),
  v.strictObject({ do: v.literal('remove'), spot: id }),
  /** Simulated panels only. */
  v.strictObject({ do: v.literal('carry'), spot: id }),
]);

export type WireMark = v.InferOutput<typeof WireMark>;
export type WireVerdict = v.InferOutput<typeof WireVerdict>;
export type WireAim = v.InferOutput<typeof WireAim>;
export type WirePointing = v.InferOutput<typeof WirePointing>;
export type WireSpot = v.InferOutput<typeof WireSpot>;
export type AimAnswer = v.InferOutput<typeof AimAnswer>;
export type MarkChoice = v.InferOutput<typeof MarkChoice>;
export type MarkAnswer = v.InferOutput<typeof MarkAnswer>;
export type MarkChange = v.InferOutput<typeof MarkChange>;
export type SpotChange = v.InferOutput<typeof SpotChange>;
