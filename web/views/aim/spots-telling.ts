/** What is known of the spots, in words: what comes next at each, how panels stand there, the day's round. Pure. */
import type { AimAnswer, WireSpot } from '#messages';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/aim-spots.ts';
import { degrees, directionOf, tilted, wattHours } from './pointing-telling.ts';

type Span = NonNullable<WireSpot['strip']>[number];

const MINUTE_MS = 60_000;
/** A wide range does not deserve single minutes. */
const roundedTo = (giveOrTakeMin: number): number => (giveOrTakeMin < 15 ? 5 : 10) * MINUTE_MS;

/** The foretold change as a moment and its range, both rounded. */
function changeText({ at, is, giveOrTakeMin }: NonNullable<WireSpot['next']>, formats: Formats, times: Times): string {
  const step = roundedTo(giveOrTakeMin);
  const atMs = Math.round(Date.parse(at) / step) * step;
  const range = formats.number(Math.max(5, Math.ceil(giveOrTakeMin / 5) * 5), 0);
  return words.nextIs(is, times.time(atMs), `${range}\u00a0min`);
}

/** What comes at a spot: the next change, or what the rest of the day is as far as seen. */
export function comingAt(spot: WireSpot, nowMs: number, formats: Formats, times: Times): string {
  const text = coming(spot, nowMs, formats, times);
  return text.charAt(0).toUpperCase() + text.slice(1);
}

function coming(spot: WireSpot, nowMs: number, formats: Formats, times: Times): string {
  if (spot.next !== null) return changeText(spot.next, formats, times);
  if (spot.strip === null) return words.tooFew(spot.clearDays);
  const left = spot.strip.filter(({ toAt }) => Date.parse(toAt) > nowMs);
  if (left.length === 0) return words.restDone;
  const kinds = new Set(left.map(({ is }) => is));
  // The sun's last half hour is never told: low light is too weak to learn from.
  const last = left.at(-1)!;
  if (last.is === 'unknown' && kinds.size > 1 && lengthMs(last) <= 90 * MINUTE_MS) {
    kinds.clear();
    for (const { is } of left.slice(0, -1)) kinds.add(is);
  }
  if (kinds.size === 1 && kinds.has('sun')) return words.restIs.sun;
  if (kinds.size === 1 && kinds.has('shade')) return words.restIs.shade;
  return words.nextUnknown;
}

const lengthMs = ({ fromAt, toAt }: Span): number => Date.parse(toAt) - Date.parse(fromAt);

/** How panels stand there, and since when. */
export function standsText(spot: WireSpot, nowMs: number, times: Times): string {
  const plane =
    spot.tiltDeg === null && spot.azimuthDeg === null
      ? [words.PLANE_UNKNOWN]
      : [
          ...(spot.tiltDeg === null ? [] : [words.tilt(tilted(spot.tiltDeg))]),
          ...(spot.azimuthDeg === null ? [] : [words.facing(degrees(spot.azimuthDeg), directionOf(spot.azimuthDeg))]),
        ];
  const moment = spot.sinceAt === null ? null : times.moment(Date.parse(spot.sinceAt), nowMs, true);
  const since = moment === null ? words.NEVER_HERE : spot.standing ? words.hereSince(moment) : words.lastHere(moment);
  return [...plane, since].join(' · ');
}

/** A strip in words. */
export const stripText = ({ name, strip }: WireSpot, times: Times): string =>
  strip === null
    ? words.stripSays(name, [words.UNKNOWN])
    : words.stripSays(
        name,
        strip.map(({ is, fromAt, toAt }) =>
          words.span(words.IS[is], times.time(Date.parse(fromAt)), times.time(Date.parse(toAt))),
        ),
      );

/** Directions are five degrees wide; those that follow on each other are told together. */
const NEIGHBOURS_DEG = 5.5;

type Part = NonNullable<WireSpot['skyline']>[number];
type Edge = Part & { edgeDeg: number };

/** Where edges were found, a few words. */
export function edgesText(parts: readonly Part[]): string {
  const stretches: Edge[][] = [];
  for (const part of parts) {
    if (part.edgeDeg === null) continue;
    const edge = { ...part, edgeDeg: part.edgeDeg };
    const before = stretches.at(-1)?.at(-1);
    if (before !== undefined && edge.azimuthDeg - before.azimuthDeg <= NEIGHBOURS_DEG) stretches.at(-1)!.push(edge);
    else stretches.push([edge]);
  }
  return words.edgesSay(stretches.map(stretchText));
}

function stretchText(edges: readonly Edge[]): string {
  const [first, last] = [edges[0]!, edges.at(-1)!];
  const heights = edges.map(({ edgeDeg }) => edgeDeg);
  const [low, high] = [tilted(Math.min(...heights)), tilted(Math.max(...heights))];
  const middle = (first.azimuthDeg + last.azimuthDeg) / 2;
  return words.edgeAt(
    directionOf(middle),
    edges.length === 1 ? degrees(middle) : words.fromTo(degrees(first.azimuthDeg), degrees(last.azimuthDeg)),
    low === high ? low : words.fromTo(low, high),
  );
}

/** Rows of the skyline's table. */
export const skylineRows = (parts: NonNullable<WireSpot['skyline']>, formats: Formats): string[][] =>
  parts.map(({ azimuthDeg, edgeDeg, sunFromDeg, shadeToDeg, minutes }) => [
    degrees(azimuthDeg),
    ...[edgeDeg, sunFromDeg, shadeToDeg].map(deg => (deg === null ? words.NONE : tilted(deg))),
    formats.number(minutes, 0),
  ]);

/** The day's round: what to do, and what it brings. */
export function planText(
  { plan, spots }: Pick<AimAnswer, 'plan' | 'spots'>,
  formats: Formats,
  times: Times,
): [string, string] | null {
  if (plan === null || plan.steps.length === 0) return null;
  const standing = spots.find(spot => spot.standing)?.id ?? null;
  const texts = plan.steps.map(({ spot, name }, i) => {
    const next = plan.steps[i + 1];
    const until = next === undefined ? null : times.time(Date.parse(next.fromAt));
    const text = words.planStep(name, until);
    return i === 0 && spot !== standing && until === null ? words.planNow(name) : text;
  });
  const sentence = words.planThen(texts);
  return [
    sentence.charAt(0).toUpperCase() + sentence.slice(1),
    words.planGain(wattHours(plan.gainWh, formats), plan.against),
  ];
}

/** What a spot's evidence comes to. */
export const seenText = (spot: WireSpot, formats: Formats): string =>
  words.seenOn(spot.clearDays, asText({ text: formats.number(spot.evidenceMin, 0), unit: '' }));
