/**
 * Bytes to text for adapters and for the one-line details shown to the owner. UTF-8 only, and strictly: a byte that
 * does not belong is a reason to reject a frame, never a replacement character in a number.
 */

// Every platform the kit runs on has this global; the kit's environment names no platform, so its shape is told here.
declare const TextDecoder: new (
  label: string,
  options: { fatal: boolean; ignoreBOM: boolean },
) => { decode(bytes: Uint8Array): string };

const strict = new TextDecoder('utf-8', { fatal: true, ignoreBOM: false });

/** The text of the bytes, or null where they are not valid UTF-8. */
export function utf8(bytes: Uint8Array): string | null {
  try {
    return strict.decode(bytes);
  } catch (cause) {
    // A fatal decoder tells malformed input only by throwing TypeError.
    if (cause instanceof TypeError) return null;
    throw cause;
  }
}

/** One printable line of at most `max` characters; what was cut or could not be shown becomes `…` or `·`. */
export function printable(text: string, max = 120): string {
  const head = text.slice(0, max + 1).replace(/[\p{C}\u2028\u2029]/gu, '·');
  return head.length > max ? `${head.slice(0, max - 1)}…` : head;
}
