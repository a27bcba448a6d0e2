/**
 * The skyline of a spot, laid out: compass across with the sun's noon in the middle, elevation up, what was seen in the
 * sun and in shade by direction, the edge between them, the sun's way today. Pure; lengths in CSS px, angles degrees.
 */
import type { AimAnswer, WireSpot } from '#messages';

type Part = NonNullable<WireSpot['skyline']>[number];
type Track = NonNullable<AimAnswer['track']>;

export interface SkylineLayout {
  width: number;
  height: number;
  left: number;
  baseY: number;
  topY: number;
  /** Seen in the sun from here up, and in shade up to here. */
  sunny: Box[];
  shaded: Box[];
  /** The edge, a stroke a direction, joined where directions are neighbours. */
  edges: Point[][];
  track: Point[];
  sun: Point | null;
  winds: { x: number; text: string }[];
  heights: { y: number; text: string }[];
  /** Evidence by direction, under the axis. */
  minutes: Box[];
}

interface Point {
  x: number;
  y: number;
}

interface Box extends Point {
  width: number;
  height: number;
}

const PART_DEG = 5;
const LEFT_PX = 40;
const WINDS_PX = 24;
const MINUTES_PX = 18;
const TOP_PX = 10;
/** Directions beyond the sun's way by this much are shown. */
const ASIDE_DEG = 10;
const LEAST_SPAN_DEG = 60;
const LEAST_TOP_DEG = 30;
const TEXT_PX = 16;
/** A letter of the heaviest weight is at most so wide on average, as a share of the size. */
const LETTER = 0.62;
const APART_PX = 8;

/** How far a direction lies from another, −180 to 180. */
const aside = (azimuthDeg: number, middleDeg: number): number => ((((azimuthDeg - middleDeg) % 360) + 540) % 360) - 180;

/** @param windOf text of a direction, a multiple of 45° */
export function layoutSkyline(
  parts: readonly Part[],
  track: Track,
  nowMs: number,
  size: { width: number; height: number },
  windOf: (azimuthDeg: number) => string,
): SkylineLayout {
  const { width, height } = size;
  const noon = track.reduce((a, b) => (b.elevationDeg > a.elevationDeg ? b : a), track[0]!);
  // On a border between two directions, so that none is cut where the paper ends.
  const middleDeg = Math.round(noon.azimuthDeg / PART_DEG) * PART_DEG;
  const turns = [...track, ...parts].map(of => Math.abs(aside(of.azimuthDeg, middleDeg)));
  const halfDeg = Math.min(180, Math.max(LEAST_SPAN_DEG, ...turns) + ASIDE_DEG);
  const heights = [
    noon.elevationDeg,
    ...parts.flatMap(({ edgeDeg, sunFromDeg, shadeToDeg }) => [edgeDeg ?? 0, sunFromDeg ?? 0, shadeToDeg ?? 0]),
  ];
  const topDeg = Math.min(90, Math.max(LEAST_TOP_DEG, Math.max(...heights) + 5));
  const baseY = height - WINDS_PX - MINUTES_PX;
  const x = (azimuthDeg: number) =>
    LEFT_PX + ((aside(azimuthDeg, middleDeg) + halfDeg) / (2 * halfDeg)) * (width - LEFT_PX);
  const y = (elevationDeg: number) => baseY - (Math.max(0, elevationDeg) / topDeg) * (baseY - TOP_PX);
  const partPx = (PART_DEG / (2 * halfDeg)) * (width - LEFT_PX);
  const box = (part: Part, fromY: number, toY: number): Box => ({
    x: x(part.azimuthDeg) - partPx / 2,
    y: fromY,
    width: partPx,
    height: Math.max(0, toY - fromY),
  });
  const most = Math.max(1, ...parts.map(part => part.minutes));
  const shown = [...parts].sort((a, b) => aside(a.azimuthDeg, middleDeg) - aside(b.azimuthDeg, middleDeg));
  return {
    width,
    height,
    left: LEFT_PX,
    baseY,
    topY: TOP_PX,
    sunny: shown.flatMap(part => (part.sunFromDeg === null ? [] : [box(part, TOP_PX, y(part.sunFromDeg))])),
    shaded: shown.flatMap(part => (part.shadeToDeg === null ? [] : [box(part, y(part.shadeToDeg), baseY)])),
    edges: edgesOf(shown, x, y, partPx),
    track: track.map(of => ({ x: x(of.azimuthDeg), y: y(of.elevationDeg) })),
    sun: sunAt(track, nowMs, x, y),
    winds: windsOf(middleDeg, halfDeg, x, width, windOf),
    heights: [0, 30, 60, 90].filter(deg => deg <= topDeg).map(deg => ({ y: y(deg), text: `${deg}°` })),
    minutes: shown.map(part => {
      const tall = (part.minutes / most) * (MINUTES_PX - 6);
      return { x: x(part.azimuthDeg) - partPx / 2 + 1, y: height - tall, width: Math.max(1, partPx - 2), height: tall };
    }),
  };
}

/** Strokes over each direction with an edge; neighbours are joined into one. */
function edgesOf(
  parts: readonly Part[],
  x: (deg: number) => number,
  y: (deg: number) => number,
  partPx: number,
): Point[][] {
  const strokes: Point[][] = [];
  let before: number | null = null;
  for (const { azimuthDeg, edgeDeg } of parts) {
    if (edgeDeg === null) continue;
    const [from, to] = [x(azimuthDeg) - partPx / 2, x(azimuthDeg) + partPx / 2];
    const stroke = [
      { x: from, y: y(edgeDeg) },
      { x: to, y: y(edgeDeg) },
    ];
    if (before !== null && Math.abs(aside(azimuthDeg, before)) <= PART_DEG + 0.01) strokes.at(-1)!.push(...stroke);
    else strokes.push(stroke);
    before = azimuthDeg;
  }
  return strokes;
}

/** Where the sun stands now, between two moments of its way; null while it is down. */
function sunAt(track: Track, nowMs: number, x: (deg: number) => number, y: (deg: number) => number): Point | null {
  const after = track.findIndex(of => Date.parse(of.at) >= nowMs);
  if (after <= 0) return null;
  const [a, b] = [track[after - 1]!, track[after]!];
  const share = (nowMs - Date.parse(a.at)) / Math.max(1, Date.parse(b.at) - Date.parse(a.at));
  return {
    x: x(a.azimuthDeg + share * aside(b.azimuthDeg, a.azimuthDeg)),
    y: y(a.elevationDeg + share * (b.elevationDeg - a.elevationDeg)),
  };
}

/** Eight winds where all have room, else the four main ones that have. */
function windsOf(
  middleDeg: number,
  halfDeg: number,
  x: (deg: number) => number,
  width: number,
  windOf: (azimuthDeg: number) => string,
): SkylineLayout['winds'] {
  const every = (stepDeg: number) => {
    const winds: { x: number; text: string; half: number }[] = [];
    for (let deg = Math.ceil((middleDeg - halfDeg) / stepDeg) * stepDeg; deg <= middleDeg + halfDeg; deg += stepDeg) {
      if (Math.abs(deg - middleDeg) > 179) continue;
      const azimuthDeg = ((deg % 360) + 360) % 360;
      const text = windOf(azimuthDeg);
      const half = (text.length * TEXT_PX * LETTER) / 2;
      if (x(azimuthDeg) - half >= 0 && x(azimuthDeg) + half <= width) winds.push({ x: x(azimuthDeg), text, half });
    }
    return winds;
  };
  const apart = (winds: readonly { x: number; half: number }[]) =>
    winds.every((wind, i) => i === 0 || wind.x - wind.half >= winds[i - 1]!.x + winds[i - 1]!.half + APART_PX);
  const eight = every(45);
  return (apart(eight) ? eight : every(90)).map(({ x: at, text }) => ({ x: at, text }));
}
