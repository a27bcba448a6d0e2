/** Strokes and words on a canvas, in CSS pixels: what every drawing is made of. */
import type { Palette } from './palette.ts';

export interface Ink {
  line(points: readonly (readonly [number, number])[], style: LineStyle): void;
  box(x: number, y: number, width: number, height: number, fill: string): void;
  outline(x: number, y: number, width: number, height: number, colour: string): void;
  dot(x: number, y: number, radius: number, fill: string, ring?: { colour: string; width: number }): void;
  text(words: string, x: number, y: number, style: TextStyle): void;
  /** Width of words as `text` would set them. */
  measure(words: string, style: TextStyle): number;
}

export interface LineStyle {
  colour: string;
  width: number;
  /** Dots of this pitch instead of a line. */
  dotted?: number;
}

export interface TextStyle {
  colour: string;
  strong?: true;
  align?: 'left' | 'center' | 'right';
  size?: number;
}

/** @param ratio device pixels per CSS pixel */
export function inkOn(ctx: CanvasRenderingContext2D, ratio: number, palette: Palette): Ink {
  const px = (v: number) => v * ratio;
  const setFont = ({ strong, size = 13 }: TextStyle) => {
    ctx.font = `${strong ? palette.strongWeight : palette.textWeight} ${px(size)}px Atkinson, system-ui, sans-serif`;
  };
  const apart = (draw: () => void) => {
    ctx.save();
    draw();
    ctx.restore();
  };
  return {
    line: (points, { colour, width, dotted }) =>
      apart(() => {
        ctx.strokeStyle = colour;
        ctx.lineWidth = px(width);
        if (dotted !== undefined) {
          ctx.setLineDash([0, px(dotted)]);
          ctx.lineCap = 'round';
        }
        ctx.beginPath();
        points.forEach(([x, y], i) => {
          if (i === 0) ctx.moveTo(px(x), px(y));
          else ctx.lineTo(px(x), px(y));
        });
        ctx.stroke();
      }),
    box: (x, y, width, height, fill) =>
      apart(() => {
        ctx.fillStyle = fill;
        ctx.fillRect(px(x), px(y), px(width), px(height));
      }),
    outline: (x, y, width, height, colour) =>
      apart(() => {
        ctx.strokeStyle = colour;
        ctx.lineWidth = px(1);
        ctx.setLineDash([px(3), px(3)]);
        ctx.strokeRect(px(x), px(y), px(width), px(height));
      }),
    dot: (x, y, radius, fill, ring) =>
      apart(() => {
        ctx.beginPath();
        ctx.arc(px(x), px(y), px(radius), 0, 2 * Math.PI);
        ctx.fillStyle = fill;
        ctx.fill();
        if (ring === undefined) return;
        ctx.strokeStyle = ring.colour;
        ctx.lineWidth = px(ring.width);
        ctx.stroke();
      }),
    text: (words, x, y, style) =>
      apart(() => {
        setFont(style);
        ctx.textAlign = style.align ?? 'left';
        ctx.textBaseline = 'alphabetic';
        ctx.fillStyle = style.colour;
        ctx.fillText(words, px(x), px(y));
      }),
    measure(words, style) {
      setFont(style);
      return ctx.measureText(words).width / ratio;
    },
  };
}
