/**
 * What the owner approved: one pin an adapter id, with the hash of the file that was shown. Kept as a small file in the
 * data folder, so that the command line and the agent see the same.
 */
import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';

export interface Pin {
  readonly id: string;
  /** Name in the owner's folder when it was approved. */
  readonly file: string;
  readonly sha256: string;
  readonly version: string;
  /** Of the manifest that was shown, as JSON. */
  readonly manifestSha256: string;
  /** ISO 8601. */
  readonly approvedAt: string;
}

const isPin = (value: unknown): value is Pin => {
  if (typeof value !== 'object' || value === null) return false;
  const { id, file, sha256, version, manifestSha256, approvedAt } = value as Record<string, unknown>;
  return (
    [id, file, version, approvedAt].every(v => typeof v === 'string') &&
    [sha256, manifestSha256].every(v => /^[0-9a-f]{64}$/.test(String(v)))
  );
};

/** A file that is missing or damaged pins nothing: everything is asked again, nothing runs unasked. */
export function readPins(place: string): Pin[] {
  let text: string;
  try {
    text = readFileSync(place, 'utf8');
  } catch (cause) {
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return [];
    throw cause;
  }
  try {
    const parsed: unknown = JSON.parse(text);
    return Array.isArray(parsed) ? parsed.filter(isPin) : [];
  } catch (cause) {
    // JSON.parse tells bad input only by throwing SyntaxError.
    if (cause instanceof SyntaxError) return [];
    throw cause;
  }
}

/** Puts a pin in place of the one of the same id. */
export function addPin(place: string, pin: Pin): void {
  const pins = [...readPins(place).filter(({ id }) => id !== pin.id), pin].sort((a, b) => (a.id < b.id ? -1 : 1));
  mkdirSync(dirname(place), { recursive: true, mode: 0o700 });
  const fresh = `${place}.${process.pid}`;
  writeFileSync(fresh, `${JSON.stringify(pins, null, 2)}\n`, { mode: 0o600 });
  renameSync(fresh, place);
}
