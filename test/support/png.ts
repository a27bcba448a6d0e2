/**
 * Reads the pixels of an 8-bit, non-interlaced RGB or RGBA PNG (what a browser's screenshot is): the PNG
 * specification's five filters undone, nothing else.
 */
import { inflateSync } from 'node:zlib';

export interface Picture {
  width: number;
  height: number;
  /** Bytes per pixel, 3 or 4. */
  channels: number;
  pixels: Uint8Array;
}

/** Pixels of a PNG. Throws on a colour type or depth a screenshot does not have. */
export function readPng(file: Uint8Array): Picture {
  const view = new DataView(file.buffer, file.byteOffset, file.byteLength);
  const parts: Uint8Array[] = [];
  let width = 0;
  let height = 0;
  let channels = 0;
  for (let at = 8; at < file.length; ) {
    const length = view.getUint32(at);
    const kind = String.fromCharCode(...file.subarray(at + 4, at + 8));
    if (kind === 'IHDR') {
      width = view.getUint32(at + 8);
      height = view.getUint32(at + 12);
      const colour = file[at + 17];
      if (file[at + 16] !== 8 || (colour !== 2 && colour !== 6)) throw new Error('not an 8-bit RGB(A) PNG');
      channels = colour === 2 ? 3 : 4;
    } else if (kind === 'IDAT') parts.push(file.subarray(at + 8, at + 8 + length));
    at += length + 12;
  }
  const raw = inflateSync(Buffer.concat(parts));
  return { width, height, channels, pixels: unfilter(raw, width, height, channels) };
}

function unfilter(raw: Uint8Array, width: number, height: number, channels: number): Uint8Array {
  const stride = width * channels;
  const out = new Uint8Array(stride * height);
  for (let y = 0; y < height; y++) {
    const filter = raw[y * (stride + 1)]!;
    for (let i = 0; i < stride; i++) {
      const left = i < channels ? 0 : out[y * stride + i - channels]!;
      const up = y === 0 ? 0 : out[(y - 1) * stride + i]!;
      const corner = y === 0 || i < channels ? 0 : out[(y - 1) * stride + i - channels]!;
      out[y * stride + i] = raw[y * (stride + 1) + 1 + i]! + predicted(filter, left, up, corner);
    }
  }
  return out;
}

function predicted(filter: number, left: number, up: number, corner: number): number {
  if (filter === 1) return left;
  if (filter === 2) return up;
  if (filter === 3) return (left + up) >> 1;
  if (filter !== 4) return 0;
  const estimate = left + up - corner;
  const a = Math.abs(estimate - left);
  const b = Math.abs(estimate - up);
  const c = Math.abs(estimate - corner);
  return a <= b && a <= c ? left : b <= c ? up : corner;
}

/** Relative luminance (WCAG 2.2) of an sRGB colour, 0-1. */
export function luminance(red: number, green: number, blue: number): number {
  const linear = (byte: number) => {
    const s = byte / 255;
    return s <= 0.04045 ? s / 12.92 : ((s + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
}

/** Mean relative luminance, and the share of pixels brighter than `above`. */
export function brightness(picture: Picture, above: number): { mean: number; shareAbove: number } {
  const { pixels, channels } = picture;
  let sum = 0;
  let bright = 0;
  for (let i = 0; i < pixels.length; i += channels) {
    const l = luminance(pixels[i]!, pixels[i + 1]!, pixels[i + 2]!);
    sum += l;
    if (l > above) bright++;
  }
  const count = pixels.length / channels;
  return { mean: sum / count, shareAbove: bright / count };
}
