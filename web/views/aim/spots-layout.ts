/**
 * Where everything of the spots' clock stands: a row a spot, sun, shade and unknown from sunrise to sunset, one line for
 * now through all rows, hours below. Pure; lengths in CSS px, instants epoch ms.
 */
import { zoneOffsetMs } from '#energy/civil-day';

export type SpanKind = 'sun' | 'shade' | 'unknown';

export interface StripRow {
  readonly name: string;
  /** null: nothing known of the whole day. */
  readonly spans: readonly { readonly fromMs: number; readonly toMs: number; readonly is: SpanKind }[] | null;
  readonly standing: boolean;
}

export interface SpotsPlan {
  readonly rows: readonly StripRow[];
  readonly sunriseMs: number;
  readonly sunsetMs: number;
  readonly nowMs: number;
  readonly zone: string;
  /** Text of an hour on the axis. */
  labelOf(atMs: number): string;
}

export interface SpotsLayout {
  width: number;
  height: number;
  left: number;
  right: number;
  rows: {
    name: { text: string; x: number; y: number; standing: boolean };
    y: number;
    boxes: { x: number; width: number; is: SpanKind }[];
  }[];
  stripHeight: number;
  /** null where now is not within the day's sun. */
  now: { x: number; topY: number; bottomY: number } | null;
  hours: { x: number; text: string }[];
  hoursY: number;
}

const HOUR_MS = 3_600_000;
const STRIP_PX = 22;
const TEXT_PX = 16;
/** A letter is about so wide, as a share of the size; between a name and its strip there is room for the heaviest. */
const LETTER = 0.58;
const APART_PX = 12;
/** Names longer than this stand over their strips instead of beside them. */
const BESIDE_PX = 96;
const NOW_BEYOND_PX = 6;
const LABEL_GAP_PX = 14;
const STEPS_H = [1, 2, 3, 4, 6, 12];
/** Narrower than this nothing could be told from a hairline. */
const LEAST_BOX_PX = 1.5;

const widthOf = (text: string): number => text.length * TEXT_PX * LETTER;

/** A name cut to a width. */
function fitted(text: string, width: number): string {
  const most = Math.floor(width / (TEXT_PX * LETTER));
  return text.length <= most ? text : `${text.slice(0, Math.max(1, most - 1)).trimEnd()}…`;
}

export function layoutSpots(plan: SpotsPlan, width: number): SpotsLayout {
  const { sunriseMs, sunsetMs, nowMs } = plan;
  const longest = Math.max(0, ...plan.rows.map(({ name }) => widthOf(name)));
  const beside = longest <= BESIDE_PX;
  const left = beside ? Math.ceil(longest) + 12 : 0;
  const right = Math.max(left + 60, width);
  const nameRoom = beside ? 0 : TEXT_PX + 8;
  const x = (atMs: number) =>
    left + ((Math.min(Math.max(atMs, sunriseMs), sunsetMs) - sunriseMs) / (sunsetMs - sunriseMs)) * (right - left);
  const pitch = nameRoom + STRIP_PX + APART_PX;
  const topY = NOW_BEYOND_PX;
  const rows = plan.rows.map(({ name, spans, standing }, i) => {
    const y = topY + i * pitch + nameRoom;
    return {
      name: {
        text: fitted(name, beside ? BESIDE_PX : right),
        x: 0,
        y: beside ? y + STRIP_PX / 2 : y - nameRoom / 2,
        standing,
      },
      y,
      boxes: (spans ?? [{ fromMs: sunriseMs, toMs: sunsetMs, is: 'unknown' as const }]).map(({ fromMs, toMs, is }) => ({
        x: x(fromMs),
        width: Math.max(LEAST_BOX_PX, x(toMs) - x(fromMs)),
        is,
      })),
    };
  });
  const bottomY = topY + Math.max(0, rows.length * pitch - APART_PX) + NOW_BEYOND_PX;
  const hoursY = bottomY + TEXT_PX + 2;
  return {
    width: right,
    height: hoursY + 6,
    left,
    right,
    rows,
    stripHeight: STRIP_PX,
    now: nowMs < sunriseMs || nowMs > sunsetMs ? null : { x: x(nowMs), topY: 0, bottomY },
    hours: hoursOf(plan, x, right),
    hoursY,
  };
}

/** Whole hours of the zone's clock, as many as have room. */
function hoursOf(plan: SpotsPlan, x: (atMs: number) => number, right: number): SpotsLayout['hours'] {
  const { sunriseMs, sunsetMs, zone, labelOf } = plan;
  const whole: { atMs: number; hour: number }[] = [];
  const startMs = Math.floor((sunriseMs + zoneOffsetMs(sunriseMs, zone)) / HOUR_MS) * HOUR_MS;
  for (let civil = startMs; civil <= sunsetMs + 15 * HOUR_MS; civil += HOUR_MS) {
    // The offset there is that of an instant nearby; where the clocks change at night the sun is mostly down.
    const atMs = civil - zoneOffsetMs(civil - zoneOffsetMs(sunriseMs, zone), zone);
    if (atMs < sunriseMs || atMs > sunsetMs) continue;
    whole.push({ atMs, hour: (civil / HOUR_MS) % 24 });
  }
  for (const step of STEPS_H) {
    const labels = whole
      .filter(({ hour }) => hour % step === 0)
      .map(({ atMs }) => ({ x: x(atMs), text: labelOf(atMs) }))
      .filter(({ x: at, text }) => at + widthOf(text) / 2 <= right + 2);
    const room = labels.every((label, i) => {
      const next = labels[i + 1];
      return next === undefined || next.x - label.x >= (widthOf(label.text) + widthOf(next.text)) / 2 + LABEL_GAP_PX;
    });
    if (room) return labels;
  }
  return [];
}
