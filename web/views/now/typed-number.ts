/** A number from the station's screen as people write it, comma or point; null where it is none. Never negative. */
export function typedNumber(text: string): number | null {
  const plain = text
    .trim()
    .replace(/[\s\u202f]/g, '')
    .replace(',', '.');
  return /^\d+(\.\d+)?$/.test(plain) ? Number(plain) : null;
}
