import decodeQR from 'qr/decode.js';
import { describe, expect, it } from 'vitest';
import { qrRows, qrText } from '../../agent/sharing/qr.ts';

const LINK = 'http://192.168.100.123:7420/pair#abcdefghijklmnopqrst-_';
/** Pixels a module. */
const SCALE = 4;

/** What a camera sees of rows of light (`true`) and dark. */
function read(lit: readonly (readonly boolean[])[]): string {
  const [height, width] = [lit.length * SCALE, lit[0]!.length * SCALE];
  const pixels = new Uint8Array(width * height * 4);
  for (let y = 0; y < height; y++)
    for (let x = 0; x < width; x++)
      pixels.fill(
        lit[Math.floor(y / SCALE)]![Math.floor(x / SCALE)]! ? 255 : 0,
        4 * (y * width + x),
        4 * (y * width + x) + 4,
      );
  return decodeQR({ width, height, data: pixels });
}

/** The light modules of text in half blocks. */
const lightOf = (text: string) =>
  text
    .trimEnd()
    .split('\n')
    .flatMap(line => [[...line].map(c => c === '█' || c === '▀'), [...line].map(c => c === '█' || c === '▄')]);

describe('the code a phone reads', () => {
  it('is the link, with four light modules around it', async () => {
    const rows = await qrRows(LINK);
    expect(read(rows.map(row => [...row].map(bit => bit === '0')))).toBe(LINK);
    expect(rows.slice(0, 4).join('')).toMatch(/^0+$/);
    expect(rows.every(row => row.length === rows.length && row.startsWith('0000') && row.endsWith('0000'))).toBe(true);
  });

  it('is the same on a terminal, in blocks no wider than 80 columns', async () => {
    const text = qrText(await qrRows(LINK), false);
    expect(read(lightOf(text))).toBe(LINK);
    expect(Math.max(...text.split('\n').map(line => line.length))).toBeLessThanOrEqual(80);
  });

  it('sets its own colours on a terminal, so that it is read in a light one too', async () => {
    const lines = qrText(await qrRows(LINK), true)
      .trimEnd()
      .split('\n');
    expect(lines.every(line => line.startsWith('\u001b[97;40m') && line.endsWith('\u001b[0m'))).toBe(true);
  });
});
