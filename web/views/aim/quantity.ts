/** Which quantity is aimed by: the sun's own watts where the station tells them, else all that comes in. Pure. */
import type { WireAim, WireReading } from '#messages';

export type Quantity = NonNullable<WireAim['quantity']>;

/** Before the agent has said which it judges by; null where a reading tells neither. */
export const quantityOf = ({ quantities }: WireReading): Quantity | null =>
  typeof quantities.solarPowerW === 'number'
    ? 'solarPowerW'
    : typeof quantities.inputPowerW === 'number'
      ? 'inputPowerW'
      : null;
