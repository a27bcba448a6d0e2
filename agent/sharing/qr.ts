/** A QR code (ISO/IEC 18004) as rows of 1 and 0, and as text that a terminal shows two modules high to the line. */
/** Light modules around it; readers want four. */
const QUIET = 4;

/** The library is loaded when a code is first drawn: an agent that nobody pairs with does without. */
export async function qrRows(text: string): Promise<string[]> {
  const { default: encodeQR } = await import('qr');
  const rows = encodeQR(text, 'raw', { ecc: 'medium', border: QUIET });
  return rows.map(row => row.map(dark => (dark ? '1' : '0')).join(''));
}

const BOTH_LIGHT = '\u2588';
const BLOCKS: Readonly<Record<string, string>> = { '00': BOTH_LIGHT, '01': '\u2580', '10': '\u2584', '11': ' ' };

/**
 * In blocks, light modules drawn, as terminals are dark; colours are set, so that it is read in a light one too.
 *
 * @param colours off where what is written does not go to a terminal
 */
export function qrText(rows: readonly string[], colours: boolean): string {
  const lines: string[] = [];
  for (let y = 0; y < rows.length; y += 2) {
    const upper = rows[y]!;
    // An odd last row is followed by light.
    const lower = rows[y + 1] ?? '0'.repeat(upper.length);
    const line = Array.from(upper, (bit, x) => BLOCKS[bit + lower[x]!]).join('');
    lines.push(colours ? `\u001b[97;40m${line}\u001b[0m` : line);
  }
  return `${lines.join('\n')}\n`;
}
