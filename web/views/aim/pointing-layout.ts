/**
 * Two small drawings, laid out: a peg with its shadow, the sun and a panel at the peg, from above with north at the top;
 * and a metre of panel with its rise, from the side. Pixels. Words stand at the ends of lines, never on one.
 */
const RAD = Math.PI / 180;

export interface Point {
  x: number;
  y: number;
}
/** A word around its middle, with the room it is given. */
export interface Word extends Point {
  text: string;
  width: number;
  height: number;
}

export const WORD_PX = 16;
/** A letter of the heaviest weight is at most so wide on average, as a share of the size. */
const LETTER = 0.62;
const GAP_PX = 8;

export const ABOVE_PX = 304;
const MIDDLE: Point = { x: ABOVE_PX / 2, y: ABOVE_PX / 2 };
const SHADOW_PX = 80;
const SUN_PX = 84;
export const SUN_RADIUS_PX = 7;
const NORTH_PX = 140;
const HALF_PANEL_PX = 42;
const ARROW_PX = 62;

const away = (azimuthDeg: number, px: number): Point => ({
  x: MIDDLE.x + px * Math.sin(azimuthDeg * RAD),
  y: MIDDLE.y - px * Math.cos(azimuthDeg * RAD),
});

/** A word beyond the end of a line from the middle. */
function beyond(text: string, azimuthDeg: number, endPx: number): Word {
  const [width, height] = [text.length * WORD_PX * LETTER, WORD_PX * 1.2];
  const half = (width / 2) * Math.abs(Math.sin(azimuthDeg * RAD)) + (height / 2) * Math.abs(Math.cos(azimuthDeg * RAD));
  return { text, width, height, ...away(azimuthDeg, endPx + GAP_PX + half) };
}

export interface FromAbove {
  peg: Point;
  shadowEnd: Point;
  sun: Point;
  panel: readonly [Point, Point];
  arrowTip: Point;
  words: readonly Word[];
}

/**
 * @param towardDeg where the shadow points
 * @param faceDeg where the panel looks
 */
export function fromAbove(
  towardDeg: number,
  faceDeg: number,
  names: { north: string; sun: string; shadow: string },
): FromAbove {
  const sunDeg = towardDeg + 180;
  return {
    peg: MIDDLE,
    shadowEnd: away(towardDeg, SHADOW_PX),
    sun: away(sunDeg, SUN_PX),
    panel: [away(faceDeg - 90, HALF_PANEL_PX), away(faceDeg + 90, HALF_PANEL_PX)],
    arrowTip: away(faceDeg, ARROW_PX),
    words: [
      { ...beyond(names.north, 0, 0), ...away(0, NORTH_PX) },
      beyond(names.sun, sunDeg, SUN_PX + SUN_RADIUS_PX),
      beyond(names.shadow, towardDeg, SHADOW_PX),
    ],
  };
}

export const SIDE_PX = { width: 264, height: 196 };
const FOOT: Point = { x: 56, y: 176 };
const METRE_PX = 150;

export interface FromSide {
  foot: Point;
  back: Point;
  ground: readonly [Point, Point];
  words: readonly Word[];
}

/** @param rise as it is told, @param metre the panel's length in words */
export function fromSide(tiltDeg: number, rise: string, metre: string): FromSide {
  const [sin, cos] = [Math.sin(tiltDeg * RAD), Math.cos(tiltDeg * RAD)];
  const back = { x: FOOT.x + METRE_PX * cos, y: FOOT.y - METRE_PX * sin };
  const word = (text: string, x: number, y: number): Word => ({
    text,
    x,
    y,
    width: text.length * WORD_PX * LETTER,
    height: WORD_PX * 1.2,
  });
  const metreOff = GAP_PX + (metre.length * WORD_PX * LETTER * sin) / 2 + (WORD_PX * 1.2 * cos) / 2;
  return {
    foot: FOOT,
    back,
    ground: [
      { x: 8, y: FOOT.y },
      { x: SIDE_PX.width - 8, y: FOOT.y },
    ],
    words: [
      word(metre, (FOOT.x + back.x) / 2 - metreOff * sin, (FOOT.y + back.y) / 2 - metreOff * cos),
      word(rise, back.x + GAP_PX + (rise.length * WORD_PX * LETTER) / 2, Math.min((FOOT.y + back.y) / 2, FOOT.y - 12)),
    ],
  };
}
