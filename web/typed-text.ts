/** A number as people write it: comma or point, spaces between thousands, either minus; null where it is none. */
export function numberTyped(text: string): number | null {
  const plain = text
    .replace(/[\s\u202f\u00a0]/g, '')
    .replace(/^\u2212/, '-')
    .replace(',', '.');
  return /^-?\d+(\.\d+)?$/.test(plain) ? Number(plain) : null;
}
