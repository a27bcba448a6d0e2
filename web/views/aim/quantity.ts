/** Which quantity is aimed by: the sun's own watts where the station tells them, else all that comes in. Pure. */
import type { WireAim, WireReading } from '#messages';

export type Quantity = NonNullable<WireAim['quantity']>;

/**
 * @param told which one the agent judges by; null before it has said so. One that this reading does not have is not
 * taken: an adapter may know more quantities than a station tells.
 * @returns null where the reading tells neither
 */
export function quantityOf({ quantities }: WireReading, told: Quantity | null = null): Quantity | null {
  if (told !== null && quantities[told] !== undefined) return told;
  if (typeof quantities.solarPowerW === 'number') return 'solarPowerW';
  return typeof quantities.inputPowerW === 'number' ? 'inputPowerW' : null;
}

/** The watts aimed by; null where they are missing. */
export function wattsOf(reading: WireReading, told: Quantity | null): number | null {
  const quantity = quantityOf(reading, told);
  return quantity === null ? null : (reading.quantities[quantity] ?? null);
}
