/**
 * What a reading tells the runtime engine, and no more: small enough to be handed to another process by the hundred.
 * Powers W, percent of the gauge, instants epoch ms.
 */
import type { RuntimeSample } from '#energy/estimates/runtime/engine';
import type { InputSource, Reading } from '#kit';
import { asToldAnew } from './known-now.ts';

export interface Told extends RuntimeSample {
  readonly onMains: boolean;
  /** The owner typed it. */
  readonly typed: boolean;
}

/**
 * @param solarW what of the input is known to be sun, W; null where nobody said
 * @param source what the input is taken to be
 */
export function toldOf(reading: Reading, solarW: number | null, source: InputSource): Told {
  const { inputPowerW, outputPowerW, stateOfChargePct } = asToldAnew(reading).quantities;
  const { acOutletsOn, onMains } = reading.states;
  return {
    at: reading.at,
    outputW: outputPowerW ?? null,
    inputW: inputPowerW ?? null,
    // What nobody named fades and returns as the sun does: a charger would have been told from it.
    solarW: solarW ?? (isCharger(source) ? 0 : (inputPowerW ?? null)),
    stateOfChargePct: stateOfChargePct ?? null,
    acOutletsOn: typeof acOutletsOn === 'boolean' ? acOutletsOn : null,
    charger: isCharger(source) ? source : 'unknown',
    onMains: onMains === true,
    typed: reading.typed === true,
  };
}

const isCharger = (source: InputSource): source is 'wall' | 'vehicle' | 'generator' =>
  source === 'wall' || source === 'vehicle' || source === 'generator';
