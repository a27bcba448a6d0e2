/**
 * A day's clock of sun and shade from what is known of the sky: the sun's way is walked in steps of two minutes and
 * each place of it asked for its evidence. Sun takes two separate days, shade three and twice the weight of what spoke
 * for sun, since a cloud looks like shade and nothing looks like sun. Counts are our own judgement, held against
 * simulated skies.
 */
import { sunEvents } from '../../laws/sun-events.ts';
import { clearSkyOver, type SkyPlace } from '../../sky.ts';
import type { Evidence, Patches } from './patches.ts';
import type { ClockSpan, ForetoldChange, SunOrShade } from './types.ts';

const STEP_MS = 120_000;
const MINUTE_MS = 60_000;
const SUN_DAYS = 2;
const SUN_WEIGHT = 0.7;
const SHADE_DAYS = 3;
const SHADE_WEIGHT = 0.9;
/** An unknown stretch between sun and shade no longer than this is where one turns into the other. */
const EDGE_MS = 24 * MINUTE_MS;
/** An unknown stretch no longer than this between two of a kind is of that kind. */
const SLIVER_MS = 8 * MINUTE_MS;
/** Where an edge is soft (a crown, a row of panels shaded one by one), each minute beyond the narrowest counts twice. */
const SOFT_EDGE = 2;
/** Narrowest range of a foretold change, either side. */
const LEAST_RANGE_MS = 8 * MINUTE_MS;

/** Nothing is told of a lower sun: it is never evidence, and what is around it reaches no further. */
const LOWEST_SUN_DEG = 5;

/** Share of the evidence for one that counts as nearly all. */
const TURNED = 0.9;

/** A moment of the sun's way; elevation as seen. */
export interface SunStep {
  readonly atMs: number;
  readonly azimuthDeg: number;
  readonly elevationDeg: number;
}

/** What evidence says of a place of the sky. */
export function tell({ sun, shade, sunDays, shadeDays }: Evidence): SunOrShade {
  if (sunDays >= SUN_DAYS && sun >= SUN_WEIGHT && sun > 1.2 * shade) return 'sun';
  if (shadeDays >= SHADE_DAYS && shade >= SHADE_WEIGHT && shade >= 2 * sun) return 'shade';
  return 'unknown';
}

/** The sun's way from the day's first sunrise to its last sunset; empty where it does not rise. */
export function sunTrack(place: SkyPlace, day: { startMs: number; endMs: number }, stepMs = STEP_MS): SunStep[] {
  const { events, polar } = sunEvents(day.startMs, day.endMs, place.latitudeDeg, place.longitudeDeg);
  if (polar === 'down') return [];
  const rise = events.find(event => event.kind === 'sunrise')?.at ?? day.startMs;
  const set = events.findLast(event => event.kind === 'sunset')?.at ?? day.endMs;
  const skyAt = clearSkyOver(place);
  const steps: SunStep[] = [];
  for (let atMs = rise; atMs < set; atMs += stepMs) steps.push(stepAt(atMs));
  if (set > rise) steps.push(stepAt(set));
  return steps;

  function stepAt(atMs: number): SunStep {
    const { sun } = skyAt(atMs);
    return { atMs, azimuthDeg: sun.azimuthDeg, elevationDeg: sun.apparentElevationDeg };
  }
}

interface Told extends SunStep {
  is: SunOrShade;
  /** Share of the evidence that is for sun; NaN where there is none. */
  readonly sunShare: number;
  readonly days: number;
}

function toldAlong(track: readonly SunStep[], patches: Patches, today: number): Told[] {
  const told = track.map(step => {
    const evidence = patches.at(step.azimuthDeg, Math.max(0, step.elevationDeg), today);
    return {
      ...step,
      is: step.elevationDeg < LOWEST_SUN_DEG ? ('unknown' as const) : tell(evidence),
      sunShare: evidence.sun / (evidence.sun + evidence.shade),
      days: evidence.sunDays + evidence.shadeDays,
    };
  });
  for (let from = 0; from < told.length; ) {
    let to = from;
    while (to + 1 < told.length && told[to + 1]!.is === told[from]!.is) to++;
    if (told[from]!.is === 'unknown' && from > 0 && to + 1 < told.length) closeGap(told, from, to);
    from = to + 1;
  }
  return told;
}

/** Gives the unknown steps from..to to their neighbours where they are only the way from one to the other. */
function closeGap(told: Told[], from: number, to: number): void {
  const [before, after] = [told[from - 1]!, told[to + 1]!];
  const spanMs = after.atMs - before.atMs;
  if (before.is === after.is) {
    if (spanMs <= SLIVER_MS) for (let i = from; i <= to; i++) told[i]!.is = before.is;
    return;
  }
  if (spanMs > EDGE_MS) return;
  for (let i = from; i <= to; i++) if (told[i]!.days < SUN_DAYS) return;
  for (let i = from; i <= to; i++) told[i]!.is = told[i]!.sunShare >= 0.5 ? 'sun' : 'shade';
}

/** Sun and shade from sunrise to sunset, and what comes next. */
export function clockStrip(
  track: readonly SunStep[],
  patches: Patches,
  nowMs: number,
  today: number,
): { strip: ClockSpan[] | null; next: ForetoldChange | null } {
  const told = toldAlong(track, patches, today);
  if (told.every(step => step.is === 'unknown')) return { strip: null, next: null };
  const strip: ClockSpan[] = [];
  let fromMs = told[0]!.atMs;
  for (let i = 1; i < told.length; i++) {
    const [before, after] = [told[i - 1]!, told[i]!];
    const atMs = (before.atMs + after.atMs) / 2;
    if (after.is !== before.is) {
      strip.push({ fromMs, toMs: atMs, is: before.is });
      fromMs = atMs;
    }
  }
  strip.push({ fromMs, toMs: told.at(-1)!.atMs, is: told.at(-1)!.is });
  return { strip, next: nextChange(told, strip, nowMs) };
}

function nextChange(told: readonly Told[], strip: readonly ClockSpan[], nowMs: number): ForetoldChange | null {
  for (let i = 1; i < strip.length; i++) {
    const [before, after] = [strip[i - 1]!, strip[i]!];
    if (after.fromMs <= nowMs || before.is === 'unknown' || after.is === 'unknown') continue;
    return { atMs: after.fromMs, is: after.is, giveOrTakeMs: rangeMs(told, after.fromMs) };
  }
  return null;
}

/** Half of the time in which evidence turns over, from nearly all for one to nearly all for the other. */
function rangeMs(told: readonly Told[], atMs: number): number {
  const clear = (step: Told) => step.sunShare >= TURNED || step.sunShare <= 1 - TURNED;
  const before = told.findLast(step => step.atMs < atMs && clear(step));
  const after = told.find(step => step.atMs > atMs && clear(step));
  const halfMs = ((after?.atMs ?? atMs) - (before?.atMs ?? atMs)) / 2;
  return LEAST_RANGE_MS + SOFT_EDGE * Math.max(0, halfMs - LEAST_RANGE_MS);
}
